"""What a chain adds of its own: delay, signs, idle noise, hum, distortion, crosstalk."""

import math
from collections.abc import Iterator, Sequence
from dataclasses import dataclass

import numpy as np

from app.calibrate.asked import Asked
from app.calibrate.found import Found
from app.calibrate.history import History
from app.errors import BadInputError
from dsp import Number
from dsp.calibration.calibration import Calibration
from dsp.calibration.chain_limits import idle_noise, own_distortion
from dsp.calibration.crosstalk import crosstalk
from dsp.calibration.gain_response import gain_response
from dsp.calibration.hear import Heard, hear
from dsp.calibration.latency import latency
from dsp.calibration.polarity import link_polarity
from dsp.calibration.probe import stepped_probe
from dsp.excitation.excitation import Excitation
from hardware.card import Capture
from hardware.chain.schema import Chain
from hardware.chain.snapshot import ChainSnapshot

LINK = "chain"
_ORDERS = 5
_MOST_DB = -60.0
# 2 % at an impedance peak four times as high as the rated impedance.
_MOST_OF_PEAK, _PEAK, _ORDINARY_OHM = 0.02, 4.0, 8.0
_GUIDES = ("loopback", "terminal")  # a wire back tells time and sign; the first that there is


@dataclass(frozen=True, slots=True, kw_only=True)
class LimitsMethod:
    """How a chain is heard by itself.

    Attributes
    ----------
    peak : float
        Of the probe, full-scale units.
    idle : tuple of str
        Inputs that were terminated and should be silent; crosstalk is read there.
    begun_with_play : bool
        Whether recordings began with the first sample played: only then there is a delay.
    """

    peak: float
    idle: tuple[str, ...] = ()
    begun_with_play: bool = True

    def find(
        self,
        captures: Sequence[Capture],
        *,
        chain: ChainSnapshot,
        asked: Asked,  # noqa: ARG002  nothing is held against an instrument
        history: History,  # noqa: ARG002
    ) -> Found:
        """Read the recordings; see ``Method.find``."""
        guide = guide_of(chain.chain)
        wired = {name: link.channel - 1 for name, link in chain.chain.input.wired.items()}
        if unknown := set(self.idle) - (wired.keys() - {guide}):
            allowed = ", ".join(sorted(wired.keys() - {guide}))
            raise BadInputError("--idle", "no such input", given=min(unknown), allowed=allowed)
        probe = limits_probe(chain.chain, peak=self.peak)
        plays = [
            hear(
                capture.samples.astype(np.float64),
                excitation=probe,
                by=wired[guide],
                orders=_ORDERS,
            )
            for capture in captures
        ]
        for name, at in wired.items():
            if any(one.clipped[at] for one in plays):
                raise BadInputError(f"input.{name}", "clipped", allowed="a softer probe: --peak")
        return Found(
            link=LINK,
            results=tuple(self._results(plays, chain=chain.chain, guide=guide, wired=wired)),
            method=f"Stepped sine, {len(plays)} times, from the output through its wire to "
            f"input.{guide}; idle noise from the silence before it.",
            given={
                "peak": self.peak,
                "idle": ", ".join(self.idle),
                "begun_with_play": self.begun_with_play,
            },
            numbers=_amplifier(plays[0], wired=wired),
        )

    def _results(
        self, plays: Sequence[Heard], *, chain: Chain, guide: str, wired: dict[str, int]
    ) -> Iterator[Calibration]:
        rate, first = float(chain.device.sample_rate), plays[0]
        channels = {name: first.channels[at] for name, at in wired.items()}
        driven = channels[guide]
        if self.begun_with_play:
            yield latency(
                [one.start_sample for one in plays],
                sample_rate_hz=rate,
                sharp=all(one.sharp for one in plays),
            )
        sign = 1 if chain.output.drive.amplifier_gain > 0 else -1
        for name in _GUIDES:
            if name in wired:
                expected = sign if name == "terminal" else 1
                before = driven if name != guide else None
                yield link_polarity(channels[name], link=name, before=before, expected=expected)
        yield own_distortion(driven).worst
        for name, link in chain.input.wired.items():
            noise = idle_noise(
                first.quiet[:, wired[name]],
                sample_rate_hz=rate,
                full_scale_v=link.full_scale_v,
                link=name,
            )
            yield noise.noise
            yield noise.hum
        for name in self.idle:
            volts = chain.input.wired[name].full_scale_v
            yield crosstalk(
                channels[name].scaled(volts),
                driven=driven.scaled(chain.input.wired[guide].full_scale_v),
                names=(name, guide),
                most_db=_most_db(name, guide=guide, chain=chain),
            ).worst


def guide_of(chain: Chain) -> str:
    """Return the input that hears the output through a wire.

    Raises
    ------
    BadInputError
        The chain wires none.
    """
    for name in _GUIDES:
        if name in chain.input.wired:
            return name
    raise BadInputError(
        "input", "nothing hears the output through a wire", allowed="input.loopback or terminal"
    )


def limits_probe(chain: Chain, *, peak: float) -> Excitation:
    """Return what is played, full-scale units."""
    return stepped_probe(float(chain.device.sample_rate), peak=peak)


def _most_db(name: str, *, guide: str, chain: Chain) -> float:
    # Crosstalk of e volts a volt adds e over the sense resistor to every admittance.
    sense, terminal, drive = chain.input.sense, chain.input.terminal, chain.output.drive
    if name != "sense" or sense is None:
        return _MOST_DB
    volts = terminal.gain if terminal and guide == "terminal" else 1 / drive.amplifier_gain
    peak_ohm = _PEAK * (drive.nominal_ohm or _ORDINARY_OHM)
    of_peak = abs(volts) / (sense.gain * sense.resistor_ohm) * peak_ohm
    return round(20 * math.log10(_MOST_OF_PEAK / of_peak))


def _amplifier(heard: Heard, *, wired: dict[str, int]) -> dict[str, Number]:
    if not {"terminal", "loopback"} <= wired.keys():
        return {}
    response = gain_response(
        heard.channels[wired["terminal"]], before=heard.channels[wired["loopback"]]
    )
    return {
        "amplifier_flatness_db": Number(
            value=response.flatness_db, unit="dB", how="farthest from 1 kHz, 20 Hz to 20 kHz"
        ),
        "amplifier_delay_s": Number(
            value=response.delay_s, unit="s", how="slope of the phase, terminals against loopback"
        ),
    }
