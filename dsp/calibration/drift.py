"""Whether a calibrated value stays where it was: control limits on its history, and its drift.

An individuals chart: single values in the order of time, limits three standard deviations from
their mean, the standard deviation from the mean moving range (ISO 7870-2:2023; NIST/SEMATECH
e-Handbook of Statistical Methods, 6.3.2.2).
"""

import math
from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from scipy.special import stdtrit

from dsp.arrays import Floats
from dsp.errors import DspError
from dsp.statistics.control_chart import individuals_chart

LEAST_FOR_LIMITS = 5  # values; fewer moving ranges say next to nothing about a deviation
_YEAR_DAYS = 365.25
_COVERED = 0.9545


@dataclass(frozen=True, slots=True, kw_only=True)
class Limits:
    """Control limits in the unit of the values."""

    centre: float
    lower: float
    upper: float


@dataclass(frozen=True, slots=True, kw_only=True)
class Drift:
    """How a value moved over its calibrations.

    Attributes
    ----------
    limits : Limits or None
        From all values but the last, which is held against them; None while there are too few.
    out_of_control : bool
        Whether the last value lies outside them.
    change : float
        Unit of the values; the last less the one before; 0 for a single one.
    change_allowed : float
        Unit of the values: what their two expanded uncertainties allow; 0 for a single one.
    per_year : float
        Unit of the values a year: slope of a straight line through all of them; NaN for fewer
        than three, or all of one day.
    per_year_uncertainty : float
        Expanded, about 95 %, from the scatter about that line; NaN likewise.
    """

    limits: Limits | None
    out_of_control: bool
    change: float
    change_allowed: float
    per_year: float
    per_year_uncertainty: float

    @property
    def moved(self) -> bool:
        """Whether the last change is more than the two uncertainties allow."""
        return abs(self.change) > self.change_allowed

    @property
    def drifts(self) -> bool:
        """Whether the slope is told from none."""
        return bool(abs(self.per_year) > self.per_year_uncertainty)


def control_limits(values: Sequence[float]) -> Limits:
    """Find the limits of an individuals chart.

    Parameters
    ----------
    values : sequence of float
        Two or more, any unit, the oldest first.

    Returns
    -------
    Limits, in the unit of the values.

    Raises
    ------
    DspError
        Fewer than two values.
    """
    if len(values) < 2:
        raise DspError("control_limits", "too few values", given=len(values), allowed="from 2")
    chart = individuals_chart(np.asarray(values, dtype=np.float64))
    return Limits(centre=chart.centre, lower=float(chart.lower[0]), upper=float(chart.upper[0]))


def drift(days: Sequence[float], *, values: Sequence[float], expanded: Sequence[float]) -> Drift:
    """Look over the history of a value.

    Parameters
    ----------
    days : sequence of float
        d since any moment, rising, one a calibration.
    values : sequence of float
        Any unit in which differences mean something: dB rather than V/Pa.
    expanded : sequence of float
        Expanded uncertainties, k = 2, in the unit of the values.

    Returns
    -------
    Drift

    Raises
    ------
    DspError
        No value, rows of different lengths, or days that fall.
    """
    if not values or not len(days) == len(values) == len(expanded):
        given = (len(days), len(values), len(expanded))
        raise DspError("drift", "rows", given=given, allowed="equal lengths from 1")
    when = np.asarray(days, dtype=np.float64)
    if np.any(np.diff(when) < 0):
        raise DspError("drift", "days fall", allowed="the oldest first")
    *before, last = values
    limits = control_limits(before) if len(before) >= LEAST_FOR_LIMITS else None
    slope, uncertainty = _slope(when, np.asarray(values, dtype=np.float64))
    return Drift(
        limits=limits,
        out_of_control=limits is not None and not limits.lower <= last <= limits.upper,
        change=last - before[-1] if before else 0.0,
        change_allowed=math.hypot(*expanded[-2:]) if before else 0.0,
        per_year=slope,
        per_year_uncertainty=uncertainty,
    )


def _slope(days: Floats, values: Floats) -> tuple[float, float]:
    # Least squares and the deviation of its slope (JCGM 100:2008, H.3.3).
    away = days - days.mean()
    squares = float(away @ away)
    degrees = values.size - 2
    if degrees < 1 or not squares:
        return math.nan, math.nan
    slope = float(away @ values) / squares
    rest = values - values.mean() - slope * away
    deviation = math.sqrt(float(rest @ rest) / degrees / squares)
    k = float(stdtrit(degrees, (1 + _COVERED) / 2))
    return slope * _YEAR_DAYS, k * deviation * _YEAR_DAYS
