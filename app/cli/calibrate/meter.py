"""Options of a voltmeter, and volts: typed beforehand, asked for, or read from the rig's meter."""

import math
import sys
from dataclasses import dataclass
from typing import TYPE_CHECKING, Annotated

import typer

from app.cli.exits import say
from app.errors import BadInputError

if TYPE_CHECKING:
    from collections.abc import Sequence

    from dsp.calibration.voltmeter import Voltmeter, VoltReading
    from hardware.card import Capture
    from hardware.chain.snapshot import ChainSnapshot
    from hardware.virtual.voltmeter import Place

MAINS = (
    "Amplifier terminals can carry dangerous voltages: put the probes on with the power off, touch "
    "nothing bare, and keep to your local code."
)


@dataclass(frozen=True, slots=True, kw_only=True)
class Meter:
    """A voltmeter, the sine that it reads, and what it showed."""

    volts: Annotated[
        list[float] | None,
        typer.Option(help="V rms that the meter shows; again for each further one."),
    ] = None
    peak: Annotated[
        list[float] | None,
        typer.Option("--peak", help="Of the sine, 0 to 1 of full scale; one for each --volts."),
    ] = None
    frequency_hz: Annotated[float, typer.Option(min=20, max=20_000, help="Hz of the sine.")] = (
        1000.0
    )
    meter_percent: Annotated[
        float, typer.Option("--meter-percent", min=0, help="%, k = 2, of the meter's reading.")
    ] = 1.0
    meter_volt: Annotated[
        float,
        typer.Option("--meter-volt", min=0, help="V, k = 2, that its data sheet adds to that."),
    ] = 0.0
    meter_step: Annotated[
        float, typer.Option("--meter-step", min=0, help="V, one step of its last digit.")
    ] = 0.001
    averaging: Annotated[
        bool,
        typer.Option("--averaging", help="It averages and is scaled for a sine; no true rms."),
    ] = False
    seconds: Annotated[
        float, typer.Option(min=1, max=120, help="Live: s that the sine is held.")
    ] = 10.0


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


def voltmeter_of(meter: Meter, *, ohm: float | None = None) -> "Voltmeter":
    """Return the voltmeter itself; it loads nothing where its ohms are not known."""
    from dsp.calibration.voltmeter import Voltmeter

    return Voltmeter(
        uncertainty_percent=meter.meter_percent,
        uncertainty_v=meter.meter_volt,
        resolution_v=meter.meter_step,
        true_rms=not meter.averaging,
        input_ohm=math.inf if ohm is None else ohm,
    )


def readings(chain: "ChainSnapshot", *, meter: Meter, place: "Place") -> tuple[Shown, ...]:
    """Return what was typed; otherwise play each peak and ask what the meter shows.

    Raises
    ------
    BadInputError
        Volts without the peaks they belong to, or nobody to ask.
    """
    from app.calibrate.play import chosen_peak

    if meter.volts:
        peaks = meter.peak or []
        if len(peaks) != len(meter.volts):
            raise BadInputError(
                "--peak", "one for each --volts", given=len(peaks), allowed=len(meter.volts)
            )
        return tuple(
            Shown(volts_rms=v, peak=chosen_peak(chain.chain, p), capture=None)
            for v, p in zip(meter.volts, peaks, strict=True)
        )
    each: list[float | None] = [*meter.peak] if meter.peak else [None]
    wanted = [chosen_peak(chain.chain, peak) for peak in each]
    return tuple(_played(chain, peak=peak, meter=meter, place=place) for peak in wanted)


def readings_of(shown: "Sequence[Shown]", *, hz: float) -> "list[VoltReading]":
    """Return what was shown as readings of one frequency."""
    from dsp.calibration.voltmeter import VoltReading

    return [VoltReading(volts_rms=one.volts_rms, peak=one.peak, frequency_hz=hz) for one in shown]


def _played(chain: "ChainSnapshot", *, peak: float, meter: Meter, place: "Place") -> Shown:
    capture = sine(chain, peak=peak, meter=meter)
    if chain.chain.device.backend == "virtual":
        from hardware.virtual.voltmeter import shown_volts

        volts = shown_volts(chain.chain, peak=peak, place=place)
        return Shown(volts_rms=volts, peak=peak, capture=capture)
    if not sys.stdin.isatty():
        raise BadInputError("--volts", "not given", allowed="V rms, with --peak; or a terminal")
    volts = typer.prompt(f"V rms on the meter, at peak {peak:g}", type=float, err=True)
    return Shown(volts_rms=volts, peak=peak, capture=capture)


def sine(chain: "ChainSnapshot", *, peak: float, meter: Meter) -> "Capture":
    """Play one long sine and record every input."""
    from app.cli.calibrate.live import play
    from dsp.calibration.probe import steady_probe

    if chain.chain.device.backend == "soundcard":
        say(MAINS)
    probe = steady_probe(
        float(chain.chain.device.sample_rate),
        frequency_hz=meter.frequency_hz,
        peak=peak,
        hold_s=meter.seconds,
    )
    return play(chain, probe=probe)
