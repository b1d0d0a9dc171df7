"""Output and input voltage scales from a voltmeter: a sine played, volts typed."""

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Literal

import numpy as np

from dsp.arrays import Floats
from dsp.calibration.budget import BudgetLine, WrittenBudget
from dsp.calibration.calibration import Calibration, Check
from dsp.calibration.scale import Scale, known, scale_of
from dsp.calibration.sentence import found, small
from dsp.calibration.steady_sine import SteadySine, read_steady_sine, sine_checks
from dsp.calibration.voltmeter import Voltmeter, VoltReading
from dsp.errors import DspError

InputLink = Literal["pressure", "sense", "terminal", "loopback"]
_COARSEST = 0.005  # step of the last digit over the reading
_AVERAGING = 0.1  # %, harmonics that an averaging meter is taken to meet


@dataclass(frozen=True, slots=True, eq=False, kw_only=True)
class InputReading:
    """Volts that were read at an input while it recorded.

    Attributes
    ----------
    channel : (n,) array
        What the input recorded, full-scale units.
    volts_rms : float
        V rms at its jack, as typed.
    frequency_hz : float
        Hz, as it was played.

    Raises
    ------
    DspError
        No volts.
    """

    channel: Floats
    volts_rms: float
    frequency_hz: float

    def __post_init__(self) -> None:
        if not 0 < self.volts_rms < np.inf:
            raise DspError("InputReading", "volts", given=self.volts_rms, allowed="above 0 V")


def output_scale(
    readings: Sequence[VoltReading],
    *,
    meter: Voltmeter,
    expected_v: float | None = None,
    source_ohm: float = 0.0,
) -> Calibration:
    """Find the peak voltage at the output jack for digital 1.0.

    Parameters
    ----------
    readings : sequence of VoltReading
        One or more, best at several levels.
    meter : Voltmeter
        What read them.
    expected_v : float or None
        V, as the chain states it or as last found.
    source_ohm : float
        ohm of the output, where it is known: what the meter's load takes is put back.

    Returns
    -------
    Calibration, V; budget in %.

    Raises
    ------
    DspError
        No reading.
    """
    if not readings:
        raise DspError("output_scale", "no reading", allowed="one or more")
    volts = [one.volts_rms for one in readings]
    scale = scale_of(volts, peaks=[one.peak for one in readings], expected_v=expected_v)
    taken = source_ohm / meter.input_ohm  # of what is read
    lines = [*meter_lines(meter, volts=volts), *_repeated(scale)]
    if taken > 0:
        # The output's resistance is known by its order alone: a rectangle as wide as the effect.
        lines.append(known("load of the meter", percent=100 * taken / np.sqrt(3)))
    return Calibration(
        quantity="output.drive.full_scale_v",
        value=scale.full_scale_v * (1 + taken),
        unit="V",
        budget=WrittenBudget(unit="%", lines=tuple(lines)),
        checks=(
            *meter_checks(
                meter, volts=volts, frequencies_hz=[one.frequency_hz for one in readings]
            ),
            *scale.checks,
        ),
    )


def input_scale(
    readings: Sequence[InputReading],
    *,
    sample_rate_hz: float,
    link: InputLink,
    meter: Voltmeter,
    expected_v: float | None = None,
) -> Calibration:
    """Find the peak voltage at an input jack for digital 1.0, with the meter beside it.

    Parameters
    ----------
    readings : sequence of InputReading
        One or more, best at several levels.
    sample_rate_hz : float
        Hz.
    link : str
        Which input.
    meter : Voltmeter
        What read the volts, at the jack while the input was connected: neither's load matters.
    expected_v : float or None
        V, as the chain states it or as last found.

    Returns
    -------
    Calibration, V; budget in %.

    Raises
    ------
    DspError
        No reading, silence, or less than half a second of tone.
    """
    if not readings:
        raise DspError("input_scale", "no reading", allowed="one or more")
    sines = [
        read_steady_sine(one.channel, sample_rate_hz=sample_rate_hz, near_hz=one.frequency_hz)
        for one in readings
    ]
    volts = [one.volts_rms for one in readings]
    scale = scale_of(volts, peaks=[sine.peak for sine in sines], expected_v=expected_v)
    lines = [*meter_lines(meter, volts=volts), *_repeated(scale), noise_line(sines)]
    frequencies = [one.frequency_hz for one in readings]
    return Calibration(
        quantity=f"input.{link}.full_scale_v",
        value=scale.full_scale_v,
        unit="V",
        budget=WrittenBudget(unit="%", lines=tuple(lines)),
        checks=(
            *meter_checks(meter, volts=volts, frequencies_hz=frequencies),
            *recorded_checks(sines, frequencies_hz=frequencies),
            *scale.checks,
        ),
    )


def meter_lines(meter: Voltmeter, *, volts: Sequence[float]) -> tuple[BudgetLine, ...]:
    """Write what a meter leaves uncertain of a mean of readings.

    Parameters
    ----------
    meter : Voltmeter
        One meter for all.
    volts : sequence of float
        V rms.

    Returns
    -------
    tuple of BudgetLine, %: the meter errs alike in all readings, its last digit in each anew.
    """
    steps = [meter.resolution_percent(one) for one in volts]
    lines = [
        known("voltmeter", percent=float(np.mean([meter.standard_percent(one) for one in volts]))),
        known("resolution", percent=float(np.linalg.norm(steps) / len(steps))),
    ]
    if not meter.true_rms:
        # A harmonic in phase adds its amplitude over its order to the average: a third at most.
        lines.append(known("averaging meter", percent=_AVERAGING / 3 / np.sqrt(3)))
    return tuple(lines)


def meter_checks(
    meter: Voltmeter, *, volts: Sequence[float], frequencies_hz: Sequence[float]
) -> tuple[Check, ...]:
    """Say whether a meter was used as it may be.

    Parameters
    ----------
    meter : Voltmeter
        The meter.
    volts, frequencies_hz : sequences of float
        V rms; Hz.

    Returns
    -------
    tuple of Check
    """
    outside = [hz for hz in frequencies_hz if not meter.low_hz <= hz <= meter.high_hz]
    coarse = meter.resolution_v / min(volts)
    return (
        Check(
            name="meter's band",
            passed=not outside,
            sentence=f"meter holds from {meter.low_hz:g} to {meter.high_hz:g} Hz"
            + (f": read at {outside[0]:g} Hz" if outside else ""),
        ),
        Check(
            name="meter's range",
            passed=coarse <= _COARSEST,
            sentence=found(
                f"last digit is {small(100 * coarse, least=0.001)} % of {min(volts):.4g} V, "
                f"allowed {100 * _COARSEST:g} %",
                passed=coarse <= _COARSEST,
                otherwise="take a lower range, or play louder",
            ),
        ),
    )


def recorded_checks(
    sines: Sequence[SteadySine], *, frequencies_hz: Sequence[float]
) -> tuple[Check, ...]:
    """Check each of several recorded sines, and keep the worse of each kind.

    Parameters
    ----------
    sines : sequence of SteadySine
        As read.
    frequencies_hz : sequence of float
        Hz, as played.

    Returns
    -------
    tuple of Check, one of each kind.
    """
    each = [
        sine_checks(sine, expected_hz=hz) for sine, hz in zip(sines, frequencies_hz, strict=True)
    ]
    return tuple(
        next((one for one in kind if not one.passed), kind[0]) for kind in zip(*each, strict=True)
    )


def noise_line(sines: Sequence[SteadySine]) -> BudgetLine:
    """Write what noise leaves uncertain of a mean of recorded sines.

    Parameters
    ----------
    sines : sequence of SteadySine
        As read.

    Returns
    -------
    BudgetLine, %.
    """
    noise = float(np.linalg.norm([sine.noise_percent for sine in sines]) / len(sines))
    return known("noise", percent=noise)


def _repeated(scale: Scale) -> tuple[BudgetLine, ...]:
    return () if scale.repeatability is None else (scale.repeatability,)
