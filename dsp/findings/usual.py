"""What is usual: the middle and the spread of a figure over good units, few or many."""

import math
from dataclasses import dataclass

import numpy as np

from dsp.arrays import Bools, Floats
from dsp.errors import DspError

_MAD_TO_SD = 1.4826  # of a normal distribution
_ASTRAY = 3.5  # standard deviations by the median absolute deviation: what lies further is left out
_MEDIAN = math.pi / 2  # variance of a median over that of a mean, many units
# The spread that is assumed before any unit was seen counts like this many units.
ASSUMED_UNITS = 10.0


@dataclass(frozen=True, slots=True, kw_only=True)
class Usual:
    """A figure of good units.

    Attributes
    ----------
    middle : float
        Median.
    spread : float
        Standard deviation that a further good unit has about ``middle``: of the units, and of
        not knowing the middle better.
    units : int
        How many told it.
    """

    middle: float
    spread: float
    units: int


def usual(values: Floats, *, assumed: float) -> Usual:
    """Find middle and spread of a few or many values, of which some may be of faulty units.

    The middle is the median. The spread is the standard deviation about it of those within 3.5
    times 1.4826 median absolute deviations, so that neither follows single bad units (of a normal
    distribution that leaves out one in two thousand). With few units the spread leans on the one
    that was assumed: both variances are averaged, the assumed one counting as 10 units. A new
    unit's deviation from the median of n units is wider than the units' spread, by the variance of
    that median: of the units', 1 for one unit, pi / (2 n) for many (normal distribution;
    H. Cramer, Mathematical Methods of Statistics, 28.5), and p / (n + p - 1) with p = pi / 2
    between them.

    Parameters
    ----------
    values : (n,) array
        One of each unit, any unit; NaN where a unit has none.
    assumed : float
        Standard deviation of an ordinary lot, same unit, above 0.

    Returns
    -------
    Usual

    Raises
    ------
    DspError
        No values, or nothing assumed.
    """
    known = values[np.isfinite(values)]
    if not known.size:
        raise DspError("usual", "no values")
    if not assumed > 0:
        raise DspError("usual", "assumed spread", given=assumed, allowed="above 0")
    count = known.size
    middle = float(np.median(known))
    away = known - middle
    inside = away[within(away)]
    degrees = count - 1
    found = math.sqrt(float(np.sum(inside**2)) / max(inside.size - 1, 1))
    variance = (ASSUMED_UNITS * assumed**2 + degrees * found**2) / (ASSUMED_UNITS + degrees)
    return Usual(
        middle=middle,
        spread=math.sqrt(variance * (1 + _MEDIAN / (degrees + _MEDIAN))),
        units=count,
    )


def within(away: Floats) -> Bools:
    """Tell which deviations from a median count for a spread.

    Parameters
    ----------
    away : (n,) array
        Deviations, any unit.

    Returns
    -------
    (n,) array of bool: within 3.5 times 1.4826 median absolute deviations.
    """
    if not away.size:
        return np.zeros(0, dtype=np.bool_)
    return np.abs(away) <= _ASTRAY * _MAD_TO_SD * float(np.median(np.abs(away)))
