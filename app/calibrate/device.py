"""The card and its wires as a whole: latency, polarity, crosstalk, and what the chain adds."""

import math
from collections.abc import Iterator, Sequence
from dataclasses import dataclass

from app.calibrate.asked import Asked
from app.calibrate.found import Found
from app.calibrate.history import History
from app.errors import BadInputError
from dsp import Number
from dsp.calibration.calibration import Calibration
from dsp.calibration.chain_limits import IdleNoise, idle_noise, own_distortion
from dsp.calibration.crosstalk import crosstalk
from dsp.calibration.gain_response import gain_response
from dsp.calibration.hear import Heard, hear
from dsp.calibration.latency import latency
from dsp.calibration.polarity import link_polarity
from dsp.calibration.probe import stepped_probe
from dsp.calibration.resolves import lowest_sound_level_db
from dsp.excitation.excitation import Excitation
from dsp.response.harmonics import Harmonics
from hardware.card import Capture
from hardware.chain.load import needed_input_channels
from hardware.chain.schema import Chain
from hardware.chain.snapshot import ChainSnapshot

LINK = "device"
_ORDERS = 5
_MOST_DB = -60.0
# 2 % at an impedance peak four times as high as the rated impedance.
_MOST_OF_PEAK, _PEAK, _ORDINARY_OHM = 0.02, 4.0, 8.0
_DRIVEN, _IDLE = ("loopback", "terminal"), ("sense", "pressure")


@dataclass(frozen=True, slots=True, kw_only=True)
class DeviceMethod:
    """How a card and its wires are looked over, the unit unplugged.

    Attributes
    ----------
    peak : float
        Of the probe, full-scale units.
    begun_with_play : bool
        Whether the recordings began with the first sample played: only then is there a latency.
    """

    peak: float
    begun_with_play: bool

    def find(
        self,
        captures: Sequence[Capture],
        *,
        chain: ChainSnapshot,
        asked: Asked,  # noqa: ARG002  the air changes nothing here
        history: History,  # noqa: ARG002  there are limits of their own
    ) -> Found:
        """Read the recordings, the first for all but the latency; see ``Method.find``."""
        wired, guide = chain.chain, guide_of(chain.chain)
        every = [
            _heard(one, chain=wired, guide=guide, probe=probe_of(wired, peak=self.peak))
            for one in captures
        ]
        look = _Look(heard=every[0], chain=wired)
        results = list(look.results())
        if self.begun_with_play:
            starts = [one.start_sample for one in every]
            rate = captures[0].sample_rate_hz
            results.insert(0, latency(starts, sample_rate_hz=rate, sharp=every[0].sharp))
        clipped = look.clipped
        if clipped:
            raise BadInputError(
                f"input.{clipped[0]}", "clipped", allowed="a softer probe: give --peak"
            )
        return Found(
            link=LINK,
            results=tuple(results),
            method="Stepped sine from 20 Hz to 20 kHz, the unit unplugged, every wired input "
            "recorded; what no input is driven with is crosstalk, what comes before is idle noise.",
            given={"peak": self.peak, "begun_with_play": self.begun_with_play},
            numbers=look.numbers(),
            rests_on=("device.sample_rate", *(f"input.{name}.channel" for name in look.names)),
        )


def probe_of(chain: Chain, *, peak: float) -> Excitation:
    """Return what is played, full-scale units."""
    return stepped_probe(float(chain.device.sample_rate), peak=peak)


def guide_of(chain: Chain) -> str:
    """Name the input that tells the time: the most direct wire.

    Raises
    ------
    BadInputError
        Neither a loopback nor the terminals are wired.
    """
    for name in _DRIVEN:
        if name in chain.input.wired:
            return name
    raise BadInputError(
        "input", "nothing hears the output itself", allowed="[input.loopback] or [input.terminal]"
    )


def _heard(capture: Capture, *, chain: Chain, guide: str, probe: Excitation) -> Heard:
    count, needed = capture.samples.shape[1], needed_input_channels(chain)
    if count < needed:
        raise BadInputError(capture.card, "channels", given=count, allowed=f"{needed} or more")
    by = chain.input.wired[guide].channel - 1
    return hear(capture.samples.astype("float64"), excitation=probe, by=by, orders=_ORDERS)


@dataclass(frozen=True, slots=True, eq=False, kw_only=True)
class _Look:
    heard: Heard
    chain: Chain

    @property
    def names(self) -> tuple[str, ...]:
        return tuple(self.chain.input.wired)

    @property
    def clipped(self) -> tuple[str, ...]:
        inputs = self.chain.input.wired.items()
        return tuple(name for name, link in inputs if self.heard.clipped[link.channel - 1])

    def results(self) -> Iterator[Calibration]:
        yield from self._polarities()
        driven = self._driven
        for name in _IDLE:
            if name in self.names:
                yield crosstalk(
                    self._jack(name),
                    driven=self._jack(driven),
                    names=(name, driven),
                    most_db=self._most_db(name, driven=driven),
                ).worst
        for name in self.names:
            idle = self._idle(name)
            yield idle.noise
            yield idle.hum
        if "loopback" in self.names:
            yield own_distortion(self._jack("loopback")).worst

    def numbers(self) -> dict[str, Number]:
        numbers = {}
        for name in self.names:
            volts = self._idle(name).noise_v
            numbers[f"noise_v.{name}"] = Number(
                value=volts, unit="V", how="20 Hz to 20 kHz at the jack, nothing played"
            )
        mic = self.chain.input.pressure
        if mic is not None:
            per_pascal = mic.sensitivity_v_per_pa * mic.preamplifier_gain
            numbers["noise_db_spl"] = Number(
                value=lowest_sound_level_db(self._idle("pressure"), v_per_pa=per_pascal),
                unit="dB re 20 µPa",
                how="what the pressure input records while nothing plays, room included",
            )
        if {"terminal", "loopback"} <= {*self.names}:
            response = gain_response(self._jack("terminal"), before=self._jack("loopback"))
            numbers["amplifier_flatness_db"] = Number(
                value=response.flatness_db, unit="dB", how="farthest from 1 kHz, 20 Hz to 20 kHz"
            )
            numbers["amplifier_delay_s"] = Number(
                value=response.delay_s, unit="s", how="slope of the phase"
            )
        return numbers

    @property
    def _driven(self) -> str:
        # The louder wire is what leaks.
        return "terminal" if "terminal" in self.names else "loopback"

    def _most_db(self, name: str, *, driven: str) -> float:
        # Crosstalk of e volts a volt adds e over the sense resistor to every admittance.
        sense = self.chain.input.sense
        if name != "sense" or sense is None:
            return _MOST_DB
        terminal, drive = self.chain.input.terminal, self.chain.output.drive
        volts = terminal.gain if terminal and driven == "terminal" else 1 / drive.amplifier_gain
        peak_ohm = _PEAK * (drive.nominal_ohm or _ORDINARY_OHM)
        jack = abs(volts) / (sense.gain * sense.resistor_ohm) * peak_ohm
        return round(20 * math.log10(_MOST_OF_PEAK / jack))

    def _polarities(self) -> Iterator[Calibration]:
        if "loopback" in self.names:
            yield link_polarity(self._jack("loopback"), link="loopback")
        if "terminal" in self.names:
            sign = 1 if self.chain.output.drive.amplifier_gain > 0 else -1
            before = self._jack("loopback") if "loopback" in self.names else None
            yield link_polarity(
                self._jack("terminal"), link="amplifier", before=before, expected=sign
            )

    def _jack(self, name: str) -> Harmonics:
        link = self.chain.input.wired[name]
        channel = self.heard.channels[link.channel - 1]
        return Harmonics(
            frequency_hz=channel.frequency_hz,
            amplitude=channel.amplitude * link.full_scale_v,
            noise=channel.noise * link.full_scale_v,
        )

    def _idle(self, name: str) -> IdleNoise:
        link = self.chain.input.wired[name]
        return idle_noise(
            self.heard.quiet[:, link.channel - 1],
            sample_rate_hz=float(self.chain.device.sample_rate),
            full_scale_v=link.full_scale_v,
            link=name,
        )
