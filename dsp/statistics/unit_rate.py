"""Limits of a whole curve: how wide they must be so that only a wanted share of good units fails.

A curve is many tests at once, and its points hang together. So not the places are counted but the
units, by how far each departs at its worst place.
"""

import math
from dataclasses import dataclass, replace

import numpy as np
from scipy.special import stdtr, stdtrit

from dsp.arrays import Bools, Floats, read_only
from dsp.errors import DspError
from dsp.statistics.centre import Centre, centre
from dsp.statistics.tolerance import Interval

FEWEST = 4  # units; with three a unit left out has no deviation to be compared with
_ODD = 0.001
_UPPER, _OUTER = 0.5, 0.25  # shares of the units that tell how the largest departures fall off


@dataclass(frozen=True, slots=True, eq=False, kw_only=True)
class UnitRate:
    """Limits, and what they follow from.

    Attributes
    ----------
    limits : Interval, (n,)
        Middle plus and minus k deviations; NaN where fewer than four units have a value.
    k : float
        The same at every place.
    departures : (units,) array
        Of each unit at its worst place, in deviations of the others; NaN of one without a value,
        or set aside.
    odd : (units,) bool array
        Units that were set aside because they depart too far to be good.
    """

    limits: Interval
    k: float
    departures: Floats
    odd: Bools


def unit_rate_limits(
    values: Floats,
    *,
    rate: float,
    floor: Floats | float = 0.0,
    robust: bool = False,
    upper: bool = True,
    lower: bool = True,
) -> UnitRate:
    """Put limits that a wanted share of good units fails somewhere.

    Parameters
    ----------
    values : (units, n) array
        Good units, one row each, any unit; what is not finite is missing.
    rate : float
        Share of good units to come that may fail, above 0 to 0.5.
    floor : (n,) array or float
        What a deviation is at least, for example the gauge's; from 0.
    robust : bool
        Whether some of the units may be bad: those that depart from the median by more than one
        good unit in a thousand would, in median distances, are set aside first.
    upper, lower : bool
        Which limits there will be; one at least.

    Returns
    -------
    UnitRate

    Raises
    ------
    DspError
        A rate outside, no limit, fewer than four units, or units that do not differ at all.

    Notes
    -----
    Each unit is compared with the others, itself left out, as a unit to come will be. How the
    largest departures M fall off is taken from the upper half of the units: an exponential tail of
    M squared, which is that of a normal distribution and needs no single place to be typical. With
    few units that is uncertain; so k is no less than what as many independent places of a normal
    production as explain the upper quarter would need.
    """
    values = np.asarray(values, dtype=np.float64)
    if not 0 < rate <= 0.5:
        raise DspError("unit_rate_limits", "rate outside", given=rate, allowed="above 0 to 0.5")
    if not (upper or lower):
        raise DspError("unit_rate_limits", "no limit", allowed="upper, lower or both")
    sides = (upper, lower)
    odd = np.zeros(values.shape[0], dtype=np.bool_)
    if robust:
        odd = _odd(values, floor=floor, sides=sides)
        values = np.where(odd[:, np.newaxis], np.nan, values)
    found = _enough(centre(values))
    departures = _departures(_left_out(values, found, floor=floor), sides=sides)
    largest = np.sort(departures[np.isfinite(departures)])
    if not largest.size:
        raise DspError("unit_rate_limits", "the units do not differ", allowed="a floor above 0")
    count = int(np.median(found.count[np.isfinite(found.deviation)]))
    k = max(
        _by_tail(largest, rate=rate),
        _by_places(largest, rate=rate, count=count, sides=int(upper) + int(lower)),
    )
    width = k * np.maximum(found.deviation, floor)
    return UnitRate(
        limits=Interval(
            lower=read_only(found.middle - width), upper=read_only(found.middle + width)
        ),
        k=k,
        departures=read_only(departures),
        odd=read_only(odd),
    )


def _enough(found: Centre) -> Centre:
    there = found.count >= FEWEST
    if not there.any():
        most = int(found.count.max(initial=0))
        raise DspError("unit_rate_limits", "too few units", given=most, allowed=f"from {FEWEST}")
    return replace(found, deviation=read_only(np.where(there, found.deviation, np.nan)))


def _odd(values: Floats, *, floor: Floats | float, sides: tuple[bool, bool]) -> Bools:
    # Units that depart from the median by more than one good unit in a thousand would. The rest is
    # then as good as a sorted lot, and mean and deviation tell more of it than the median does.
    found = _enough(centre(values, robust=True))
    with np.errstate(invalid="ignore", divide="ignore"):
        away = (values - found.middle) / np.maximum(found.deviation, floor)
    departures = _departures(away, sides=sides)
    largest = np.sort(departures[np.isfinite(departures)])
    if not largest.size:  # all alike, and none of them odd
        return np.zeros(departures.shape, dtype=np.bool_)
    odd: Bools = departures > _by_tail(largest, rate=_ODD, robust=True)
    return odd


def _left_out(values: Floats, found: Centre, *, floor: Floats | float) -> Floats:
    # Departure of each unit from all others, in their deviations; (units, n).
    n, away = found.count, values - found.middle
    with np.errstate(invalid="ignore", divide="ignore"):
        square = ((n - 1) * found.deviation**2 - n / (n - 1) * away**2) / (n - 2)
        others = np.maximum(np.sqrt(np.maximum(square, 0.0)), floor)
        left_out: Floats = away * (n / (n - 1)) / others
    return left_out


def _departures(away: Floats, *, sides: tuple[bool, bool]) -> Floats:
    # Of each unit at its worst place, towards the limits that there are; NaN where nowhere.
    known = np.isfinite(away)
    upper, lower = (
        np.where(known, sign * away, -np.inf).max(axis=1) if there else np.float64(-np.inf)
        for there, sign in zip(sides, (1.0, -1.0), strict=True)
    )
    worst = np.maximum(upper, lower)
    found: Floats = np.where(np.isfinite(worst), worst, np.nan)
    return found


def _by_tail(largest: Floats, *, rate: float, robust: bool = False) -> float:
    start = float(np.quantile(largest, 1 - _UPPER))
    square = np.maximum(start, 0.0) ** 2
    excess = largest[largest > start] ** 2 - square
    if not excess.size:
        return start
    # Bad units lengthen a mean excess as they like, a median one hardly.
    scale = np.median(excess) / math.log(2) if robust else np.mean(excess)
    return math.sqrt(square + float(scale) * math.log(_UPPER / rate))


def _by_places(largest: Floats, *, rate: float, count: int, sides: int) -> float:
    # Left out, a normal unit departs by sqrt(1 + 1/(n-1)) of Student's t with n - 2.
    outside = sides * stdtr(count - 2, -largest / math.sqrt(1 + 1 / (count - 1)))
    inside = np.log1p(-np.minimum(outside, 0.5))
    upper = largest >= np.quantile(largest, 1 - _OUTER)
    start = inside[upper][0]
    # The maximum-likelihood estimate from the upper quarter, of the rest only that it lies below.
    places = upper.sum() / -((~upper).sum() * start + inside[upper].sum())
    tail = -math.expm1(math.log1p(-rate) / places) / sides
    return float(-stdtrit(count - 1, tail)) * math.sqrt(1 + 1 / count)
