"""Limits at ordered values of a sample: whatever the distribution, they hold a share of all units.

Distribution-free tolerance intervals (ISO 16269-6:2014; S. S. Wilks, Annals of Mathematical
Statistics 12 (1941) 91).
"""

from dataclasses import dataclass
from typing import Literal

import numpy as np
from scipy.special import betainc

from dsp.arrays import Floats, read_only
from dsp.errors import DspError
from dsp.statistics.tolerance import Interval


@dataclass(frozen=True, slots=True, eq=False, kw_only=True)
class OrderLimits:
    """Limits, and how sure they are.

    Attributes
    ----------
    limits : Interval, (n,)
        NaN where fewer than two units have a value.
    confidence : (n,) array
        With which they hold the share, 0 to 1; less than asked where there are too few units, and
        the outermost ones are the limits.
    """

    limits: Interval
    confidence: Floats


def order_limits(
    values: Floats, *, coverage: float, confidence: float, sides: Literal[1, 2] = 2
) -> OrderLimits:
    """Put limits at the innermost ordered values that still hold a share with a confidence.

    Parameters
    ----------
    values : (units, n) array
        One row a unit, any unit; what is not finite is missing.
    coverage, confidence : float
        Between 0 and 1.
    sides : 1 or 2
        2: the share lies between both limits, as many values are cut off above as below; 1: each
        of them alone leaves the share on its side.

    Returns
    -------
    OrderLimits, (n,)

    Raises
    ------
    DspError
        Coverage or confidence outside, or not units by places.
    """
    values = np.asarray(values, dtype=np.float64)
    if values.ndim != 2 or not values.shape[0]:
        raise DspError("order_limits", "not units by places", given=values.shape)
    _check(coverage=coverage, confidence=confidence)
    known = np.isfinite(values)
    counts = known.sum(axis=0)
    ordered = np.sort(np.where(known, values, np.inf), axis=0)  # what is missing goes to the end
    lower, upper, sure = (np.full(counts.shape, np.nan) for _ in range(3))
    for count in np.unique(counts[counts > 1]):
        here = counts == count
        cut = _cut(int(count), coverage=coverage, confidence=confidence, sides=sides)
        lower[here], upper[here] = ordered[cut - 1, here], ordered[count - cut, here]
        sure[here] = _confidence(int(count), coverage=coverage, outside=sides * cut)
    return OrderLimits(
        limits=Interval(lower=read_only(lower), upper=read_only(upper)),
        confidence=read_only(sure),
    )


def units_needed(*, coverage: float, confidence: float, sides: Literal[1, 2] = 2) -> int:
    """Count the units whose outermost values hold a share of all with a confidence.

    Parameters
    ----------
    coverage, confidence : float
        Between 0 and 1.
    sides : 1 or 2
        As for ``order_limits``.

    Returns
    -------
    int, from 2.

    Raises
    ------
    DspError
        Coverage or confidence outside.
    """
    _check(coverage=coverage, confidence=confidence)
    low, high = 1, 2
    while _confidence(high, coverage=coverage, outside=sides) < confidence:
        low, high = high, 2 * high
    while high - low > 1:
        middle = (low + high) // 2
        enough = _confidence(middle, coverage=coverage, outside=sides) >= confidence
        low, high = (low, middle) if enough else (middle, high)
    return high


def _check(*, coverage: float, confidence: float) -> None:
    for name, share in (("coverage", coverage), ("confidence", confidence)):
        if not 0 < share < 1:
            raise DspError(
                "order_limits", f"{name} outside", given=share, allowed="between 0 and 1"
            )


def _cut(count: int, *, coverage: float, confidence: float, sides: Literal[1, 2]) -> int:
    # How many values from either end the limit stands; the first at least, wherever that leads.
    most = count // 2
    outside = sides * np.arange(1, most + 1)
    sure = betainc(count + 1.0 - outside, outside.astype(np.float64), coverage)
    return max(1, int(np.count_nonzero(sure <= 1 - confidence)))


def _confidence(count: int, *, coverage: float, outside: int) -> float:
    # The share between ordered values follows a beta distribution, whatever the values do.
    if outside > count:
        return 0.0
    return float(1 - betainc(count + 1.0 - outside, float(outside), coverage))
