"""Options of a voltmeter, and volts: typed beforehand, asked for, or read from the rig's meter."""

import math
import sys
from dataclasses import dataclass
from typing import TYPE_CHECKING, Annotated

import typer

from app.cli.exits import say
from app.errors import BadInputError

if TYPE_CHECKING:
    from dsp.calibration.voltmeter import Voltmeter
    from hardware.card import Capture
    from hardware.chain.snapshot import ChainSnapshot
    from hardware.virtual.voltmeter import Place

Volts = Annotated[
    list[float] | None,
    typer.Option(help="V rms that the meter shows; again for each further one."),
]
Peaks = Annotated[
    list[float] | None,
    typer.Option("--peak", help="Of the sine, 0 to 1 of full scale; one for each --volts."),
]
FrequencyHz = Annotated[float, typer.Option(min=20, max=20_000, help="Hz of the sine.")]
UncertaintyPercent = Annotated[
    float, typer.Option("--meter-percent", min=0, help="%, k = 2, of the meter's reading.")
]
UncertaintyV = Annotated[
    float, typer.Option("--meter-volt", min=0, help="V, k = 2, that its data sheet adds to that.")
]
ResolutionV = Annotated[
    float, typer.Option("--meter-step", min=0, help="V, one step of its last digit.")
]
Averaging = Annotated[
    bool, typer.Option("--averaging", help="It averages and is scaled for a sine; no true rms.")
]
InputOhm = Annotated[
    float | None,
    typer.Option("--meter-ohm", min=1, help="ohm of the meter; else it loads nothing."),
]
Seconds = Annotated[float, typer.Option(min=1, max=120, help="Live: s that the sine is held.")]

MAINS = (
    "Amplifier terminals can carry dangerous voltages: put the probes on with the power off, touch "
    "nothing bare, and keep to your local code."
)


@dataclass(frozen=True, slots=True, eq=False, kw_only=True)
class Shown:
    """What the meter showed for one play.

    Attributes
    ----------
    volts_rms, peak : float
        V rms; of the sine, full-scale units.
    capture : Capture or None
        What the inputs recorded meanwhile; None where it was typed from an earlier play.
    """

    volts_rms: float
    peak: float
    capture: "Capture | None"


def meter_of(
    percent: float, volt: float, step: float, *, averaging: bool, ohm: float | None = None
) -> "Voltmeter":
    """Return the meter."""
    from dsp.calibration.voltmeter import Voltmeter

    return Voltmeter(
        uncertainty_percent=percent,
        uncertainty_v=volt,
        resolution_v=step,
        true_rms=not averaging,
        input_ohm=math.inf if ohm is None else ohm,
    )


def readings(
    chain: "ChainSnapshot",
    *,
    volts: list[float] | None,
    peaks: list[float] | None,
    frequency_hz: float,
    seconds: float,
    place: "Place",
) -> tuple[Shown, ...]:
    """Return what was typed; otherwise play each peak and ask what the meter shows.

    Raises
    ------
    BadInputError
        Volts without the peaks they belong to, or nobody to ask.
    """
    from app.calibrate.play import chosen_peak

    if volts:
        if not peaks or len(peaks) != len(volts):
            raise BadInputError(
                "--peak", "one for each --volts", given=len(peaks or ()), allowed=len(volts)
            )
        return tuple(
            Shown(volts_rms=v, peak=chosen_peak(chain.chain, p), capture=None)
            for v, p in zip(volts, peaks, strict=True)
        )
    each: list[float | None] = [*peaks] if peaks else [None]
    wanted = [chosen_peak(chain.chain, peak) for peak in each]
    return tuple(
        _played(chain, peak=peak, frequency_hz=frequency_hz, seconds=seconds, place=place)
        for peak in wanted
    )


def _played(
    chain: "ChainSnapshot", *, peak: float, frequency_hz: float, seconds: float, place: "Place"
) -> Shown:
    capture = sine(chain, peak=peak, frequency_hz=frequency_hz, seconds=seconds)
    if chain.chain.device.backend == "virtual":
        from hardware.virtual.voltmeter import shown_volts

        volts = shown_volts(chain.chain, peak=peak, place=place)
        return Shown(volts_rms=volts, peak=peak, capture=capture)
    if not sys.stdin.isatty():
        raise BadInputError("--volts", "not given", allowed="V rms, with --peak; or a terminal")
    volts = typer.prompt(f"V rms on the meter, at peak {peak:g}", type=float, err=True)
    return Shown(volts_rms=volts, peak=peak, capture=capture)


def sine(chain: "ChainSnapshot", *, peak: float, frequency_hz: float, seconds: float) -> "Capture":
    """Play one long sine and record every input."""
    from app.cli.calibrate.live import play
    from dsp.calibration.probe import steady_probe

    if chain.chain.device.backend == "soundcard":
        say(MAINS)
    probe = steady_probe(
        float(chain.chain.device.sample_rate),
        frequency_hz=frequency_hz,
        peak=peak,
        hold_s=seconds,
    )
    return play(chain, probe=probe)
