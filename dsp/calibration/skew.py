"""By how much one of two inputs is late, from the phase of what should be a resistor."""

import math
from dataclasses import dataclass, replace

import numpy as np

from dsp.calibration.budget import BudgetLine, Kind, WrittenBudget, stated
from dsp.calibration.calibration import Calibration, Check
from dsp.calibration.resistor_model import ResistorModel
from dsp.calibration.resistor_readings import Readings

QUANTITY = "input.sense.late_s"
_MOST_S = 1e-3  # what the chain file holds; inputs of one card differ by less
_AT_HZ = 20_000.0
_NOTHING_US = 0.001


@dataclass(frozen=True, slots=True, kw_only=True)
class Skew:
    """A delay between the channels.

    Attributes
    ----------
    sense_late_s : float
        s by which the sense input lags the voltage input; an inductive known resistor looks the
        same, 1 µH in 1 ohm like 1 µs. NaN where no frequency tells.
    scatter_s : float
        s, standard deviation, from how far the phases lie from a straight line.
    degrees : float
        Degrees of freedom of that.
    """

    sense_late_s: float
    scatter_s: float
    degrees: float


def channel_skew(model: ResistorModel) -> Skew:
    """Fit a delay through the phase of the scale.

    Parameters
    ----------
    model : ResistorModel
        From known resistors.

    Returns
    -------
    Skew
    """
    known = np.isfinite(model.scale_ohm)
    omega = 2 * np.pi * model.frequency_hz[known]
    phase = np.unwrap(np.angle(model.scale_ohm[known]))
    power = float(omega @ omega)
    if power == 0:
        return Skew(sense_late_s=math.nan, scatter_s=math.nan, degrees=0.0)
    late_s = -float(omega @ phase) / power
    left = phase + omega * late_s
    freedom = max(omega.size - 1, 1)
    return Skew(
        sense_late_s=late_s,
        scatter_s=math.sqrt(float(left @ left) / freedom / power),
        degrees=float(freedom),
    )


def skew_calibration(taken: Readings, *, model: ResistorModel) -> Calibration:
    """Write down the delay between the channels with its budget.

    Parameters
    ----------
    taken : Readings
        All that was read.
    model : ResistorModel
        What they gave.

    Returns
    -------
    Calibration, s; budget in s.
    """
    found = channel_skew(model)
    turn_deg = 360 * _AT_HZ * found.sense_late_s
    # NaN is not within either.
    passed = bool(abs(found.sense_late_s) <= _MOST_S)
    late_us, most_us = 1e6 * found.sense_late_s, 1e6 * _MOST_S
    word = "late" if late_us >= 0 else "early"
    said = f"sense input {abs(late_us):.3g} µs {word}, {abs(turn_deg):.2g}° at 20 kHz"
    if abs(late_us) < _NOTHING_US:
        said = "sense and terminal input are at one time"
    return Calibration(
        quantity=QUANTITY,
        value=found.sense_late_s,
        unit="s",
        budget=WrittenBudget(
            unit="s",
            lines=(
                BudgetLine(
                    source="phases off a straight line",
                    kind=Kind.REPEATED,
                    standard_uncertainty=found.scatter_s,
                    unit="s",
                    sensitivity=1.0,
                    degrees=found.degrees,
                ),
                *_inductances(taken, late_s=found.sense_late_s),
            ),
        ),
        checks=(
            Check(
                name="skew",
                passed=passed,
                sentence=f"{said}, allowed {most_us:g} µs either way",
            ),
        ),
    )


def _inductances(taken: Readings, *, late_s: float) -> list[BudgetLine]:
    # Each resistor with the inductance that it may have, solved again (JCGM 100:2008, 5.1.3).
    omega = 2 * np.pi * taken.frequency_hz
    lines = []
    for at, (ohm, most_h) in enumerate(zip(taken.ohm, taken.inductance_h, strict=True)):
        standard = most_h / math.sqrt(3)
        if not ohm or not standard:
            continue
        ratios = list(taken.ratios)
        ratios[at] = ratios[at] * (1 + 1j * omega * standard / ohm)
        moved = channel_skew(replace(taken, ratios=tuple(ratios)).solve()).sense_late_s - late_s
        lines.append(
            stated(
                f"inductance of {ohm:g} ohm",
                standard=standard,
                unit="H",
                sensitivity=moved / standard,
            )
        )
    return lines
