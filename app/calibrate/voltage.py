"""Voltage scales and gain: by a voltmeter, or from the output wired to an input."""

import math
from collections.abc import Sequence
from dataclasses import asdict, dataclass, replace

import numpy as np

from app.calibrate.asked import Asked
from app.calibrate.found import Found
from app.calibrate.history import History
from app.errors import BadInputError
from app.records.calibration_record import Given
from dsp import Floats
from dsp.calibration.gain import Amplifier, amplifier_gain
from dsp.calibration.loopback import KnownOutput, loopback_scale
from dsp.calibration.voltage_scale import InputLink, InputReading, input_scale, output_scale
from dsp.calibration.voltmeter import Voltmeter, VoltReading
from hardware.card import Capture
from hardware.chain.schema import Chain
from hardware.chain.snapshot import ChainSnapshot

DRIVE = "output.drive"


@dataclass(frozen=True, slots=True, kw_only=True)
class OutputMethod:
    """The output's full scale: a sine played, volts typed.

    Attributes
    ----------
    readings : tuple of VoltReading
        At the output jack.
    meter : Voltmeter
        What read them.
    source_ohm : float
        ohm of the output; 0 where it is not known.
    """

    readings: tuple[VoltReading, ...]
    meter: Voltmeter
    source_ohm: float = 0.0

    def find(
        self,
        captures: Sequence[Capture],  # noqa: ARG002  what the inputs heard proves nothing here
        *,
        chain: ChainSnapshot,
        asked: Asked,
        history: History,  # noqa: ARG002
    ) -> Found:
        """Find it; see ``Method.find``."""
        stated = chain.chain.output.drive.full_scale_v
        found = output_scale(
            self.readings,
            meter=self.meter,
            expected_v=None if asked.exchanged else stated,
            source_ohm=self.source_ohm,
        )
        return Found(
            link=DRIVE,
            results=(found,),
            method=f"Sine of {_hz(self.readings)} played, volts read at the output jack "
            f"{_times(len(self.readings))}.",
            given={**_read(self.readings), **_meter(self.meter), "source_ohm": self.source_ohm},
            rests_on=(f"{DRIVE}.channel",),
        )


@dataclass(frozen=True, slots=True, kw_only=True)
class AmplifierMethod:
    """The amplifier's gain: a sine played, volts typed that were read at its terminals.

    Attributes
    ----------
    readings : tuple of VoltReading
        At the amplifier's terminals, loaded as in use.
    meter : Voltmeter
        What read them.
    inverts : bool
        Whether it turns the sign; a voltmeter does not tell.
    """

    readings: tuple[VoltReading, ...]
    meter: Voltmeter
    inverts: bool

    def find(
        self,
        captures: Sequence[Capture],  # noqa: ARG002
        *,
        chain: ChainSnapshot,
        asked: Asked,
        history: History,  # noqa: ARG002
    ) -> Found:
        """Find it; see ``Method.find``."""
        drive = chain.chain.output.drive
        found = amplifier_gain(
            self.readings,
            meter=self.meter,
            output=known_output(chain.chain),
            amplifier=Amplifier(
                polarity=-1 if self.inverts else 1,
                expected=None if asked.exchanged else drive.amplifier_gain,
            ),
        )
        return Found(
            link=DRIVE,
            results=(found,),
            method=f"Sine of {_hz(self.readings)} played, volts read at the amplifier's terminals "
            f"{_times(len(self.readings))}; the output's scale as the chain states it.",
            given={**_read(self.readings), **_meter(self.meter), "inverts": self.inverts},
            rests_on=(f"{DRIVE}.channel", f"{DRIVE}.full_scale_v"),
        )


@dataclass(frozen=True, slots=True, kw_only=True)
class InputMethod:
    """An input's full scale: volts typed for each recording.

    Attributes
    ----------
    link : str
        Which input.
    volts_rms : tuple of float
        V rms at its jack, one for each recording.
    frequency_hz : float
        Hz, of the sine.
    meter : Voltmeter
        What read them.
    """

    link: InputLink
    volts_rms: tuple[float, ...]
    frequency_hz: float
    meter: Voltmeter

    def find(
        self,
        captures: Sequence[Capture],
        *,
        chain: ChainSnapshot,
        asked: Asked,
        history: History,  # noqa: ARG002
    ) -> Found:
        """Find it; see ``Method.find``."""
        if len(captures) != len(self.volts_rms):
            raise BadInputError(
                "--volts",
                "readings",
                given=len(self.volts_rms),
                allowed=f"{len(captures)}: one for each recording",
            )
        channel, stated = wired_input(chain.chain, link=self.link)
        found = input_scale(
            [
                InputReading(
                    channel=_column(capture, channel=channel, link=self.link),
                    volts_rms=volts,
                    frequency_hz=self.frequency_hz,
                )
                for capture, volts in zip(captures, self.volts_rms, strict=True)
            ],
            sample_rate_hz=captures[0].sample_rate_hz,
            link=self.link,
            meter=self.meter,
            expected_v=None if asked.exchanged else stated,
        )
        volts_given: dict[str, Given] = {
            f"volts_rms_{at}": volts for at, volts in enumerate(self.volts_rms, start=1)
        }
        return Found(
            link=f"input.{self.link}",
            results=(found,),
            method=f"Sine of {self.frequency_hz:g} Hz recorded, volts read at the input jack "
            f"{_times(len(captures))}.",
            given={**volts_given, **_meter(self.meter), "frequency_hz": self.frequency_hz},
            rests_on=(f"input.{self.link}.channel",),
        )


@dataclass(frozen=True, slots=True, kw_only=True)
class LoopbackMethod:
    """An input's full scale from the output wired to it, whose scale the chain states.

    Attributes
    ----------
    link : str
        Which input.
    peaks : tuple of float
        Of the sines that were played, full-scale units, one for each recording.
    frequency_hz : float
        Hz.
    source_ohm, input_ohm : float
        ohm of the output, 0 where it is not known, and of the input: what they take is put back.
    """

    link: InputLink
    peaks: tuple[float, ...]
    frequency_hz: float
    source_ohm: float = 0.0
    input_ohm: float = math.inf

    def find(
        self,
        captures: Sequence[Capture],
        *,
        chain: ChainSnapshot,
        asked: Asked,
        history: History,  # noqa: ARG002
    ) -> Found:
        """Find it; see ``Method.find``."""
        channel, stated = wired_input(chain.chain, link=self.link)
        found = loopback_scale(
            [_column(capture, channel=channel, link=self.link) for capture in captures],
            sample_rate_hz=captures[0].sample_rate_hz,
            frequency_hz=self.frequency_hz,
            peaks=self.peaks,
            output=replace(known_output(chain.chain), source_ohm=self.source_ohm),
            link=self.link,
            input_ohm=self.input_ohm,
            expected_v=None if asked.exchanged else stated,
        )
        peaks_given: dict[str, Given] = {
            f"peak_{at}": peak for at, peak in enumerate(self.peaks, start=1)
        }
        return Found(
            link=f"input.{self.link}",
            results=(found,),
            method=f"Output jack wired to the input, sine of {self.frequency_hz:g} Hz played "
            f"{_times(len(captures))}; the output's scale as the chain states it.",
            given={
                **peaks_given,
                "frequency_hz": self.frequency_hz,
                "source_ohm": self.source_ohm,
                "input_ohm": self.input_ohm if math.isfinite(self.input_ohm) else None,
            },
            rests_on=(f"input.{self.link}.channel", f"{DRIVE}.full_scale_v"),
        )


def known_output(chain: Chain) -> KnownOutput:
    """Return the output's scale as the chain states it."""
    drive = chain.output.drive
    return KnownOutput(
        full_scale_v=drive.full_scale_v, uncertainty_percent=drive.full_scale_uncertainty_percent
    )


def wired_input(chain: Chain, *, link: InputLink) -> tuple[int, float]:
    """Return channel and full scale of an input.

    Raises
    ------
    BadInputError
        The chain does not wire it.
    """
    wired = chain.input.wired.get(link)
    if wired is None:
        allowed = ", ".join(chain.input.wired)
        raise BadInputError("--input", "not wired in this chain", given=link, allowed=allowed)
    return wired.channel, wired.full_scale_v


def _column(capture: Capture, *, channel: int, link: str) -> Floats:
    count = capture.samples.shape[1]
    if channel > count:
        raise BadInputError(
            f"{capture.card} input.{link}.channel",
            "no such channel",
            given=channel,
            allowed=f"1 to {count}",
        )
    return capture.samples[:, channel - 1].astype(np.float64)


def _read(readings: Sequence[VoltReading]) -> dict[str, Given]:
    given: dict[str, Given] = {}
    for at, one in enumerate(readings, start=1):
        given |= {f"{name}_{at}": value for name, value in asdict(one).items()}
    return given


def _meter(meter: Voltmeter) -> dict[str, Given]:
    return {
        "meter_uncertainty_percent": meter.uncertainty_percent,
        "meter_uncertainty_v": meter.uncertainty_v,
        "meter_resolution_v": meter.resolution_v,
        "meter_low_hz": meter.low_hz,
        "meter_high_hz": meter.high_hz,
        "meter_input_ohm": meter.input_ohm if math.isfinite(meter.input_ohm) else None,
        "meter_true_rms": meter.true_rms,
    }


def _hz(readings: Sequence[VoltReading]) -> str:
    return f"{readings[0].frequency_hz:g} Hz"


def _times(count: int) -> str:
    return "once" if count == 1 else f"{count} times"
