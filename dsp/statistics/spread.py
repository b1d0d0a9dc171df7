"""How much units of one kind differ, place by place."""

from dataclasses import dataclass

import numpy as np

from dsp.arrays import Floats, Ints, read_only
from dsp.errors import DspError


@dataclass(frozen=True, slots=True, eq=False, kw_only=True)
class Spread:
    """What several units have in common at each place, in the unit of their values.

    Attributes
    ----------
    count : (n,) array of int
        Units with a value there.
    mean, deviation : (n,) array
        Mean, and standard deviation with ``count - 1``; NaN where fewer than 1 and 2 have a value.
    low, p2, median, p97, high : (n,) array
        Smallest, 2.5 %, 50 %, 97.5 % and largest; NaN where nobody has a value.
    """

    count: Ints
    mean: Floats
    deviation: Floats
    low: Floats
    p2: Floats
    median: Floats
    p97: Floats
    high: Floats


def spread(values: Floats) -> Spread:
    """Summarise units place by place.

    Parameters
    ----------
    values : (units, n) array
        One row a unit, any unit; what is not finite is missing.

    Returns
    -------
    Spread, (n,); percentiles are straight between ordered values.

    Raises
    ------
    DspError
        Not two dimensions, or no unit.
    """
    where = "spread"
    values = np.asarray(values, dtype=np.float64)
    if values.ndim != 2 or not values.shape[0]:
        raise DspError(where, "not units by places", given=values.shape, allowed="(units, n)")
    known = np.isfinite(values)
    count = known.sum(axis=0)
    is_whole = bool(known.all())  # then no copy of what may be millions of values is needed

    def filled(those: Floats, *, by: float) -> Floats:
        return those if is_whole else np.where(known, those, by)

    with np.errstate(invalid="ignore", divide="ignore"):
        mean = filled(values, by=0.0).sum(axis=0) / count
        away = filled(values - mean, by=0.0)
        deviation = np.sqrt((away**2).sum(axis=0) / np.where(count > 1, count - 1, np.nan))
    ordered = np.sort(filled(values, by=np.inf), axis=0)  # what is missing goes to the end
    low, p2, median, p97, high = (
        read_only(_quantile(ordered, count=count, share=share))
        for share in (0.0, 0.025, 0.5, 0.975, 1.0)
    )
    return Spread(
        count=read_only(count.astype(np.int64)),
        mean=read_only(mean),
        deviation=read_only(deviation),
        low=low,
        p2=p2,
        median=median,
        p97=p97,
        high=high,
    )


def _quantile(ordered: Floats, *, count: Ints, share: float) -> Floats:
    last = np.maximum(count - 1, 0)
    place = share * last
    before = np.floor(place).astype(np.int64)
    after = np.minimum(before + 1, last)
    column = np.arange(ordered.shape[1])
    left, right = ordered[before, column], ordered[after, column]
    with np.errstate(invalid="ignore"):
        value: Floats = np.where(count > 0, left + (place - before) * (right - left), np.nan)
    return value
