"""Middle and deviation of units, place by place: as they are, or so that bad ones do not pull."""

from dataclasses import dataclass

import numpy as np

from dsp.arrays import Floats, Ints, read_only
from dsp.errors import DspError

_NORMAL = 1.482602218505602  # deviation over median distance from the middle, normal distribution
# By simulation, for 2 to 9 values: C. Croux, P. J. Rousseeuw, Time-efficient algorithms for two
# highly robust estimators of scale, Computational Statistics 1 (1992) 411.
_FEW = np.array([1.196, 1.495, 1.363, 1.206, 1.200, 1.140, 1.129, 1.107])


@dataclass(frozen=True, slots=True, eq=False, kw_only=True)
class Centre:
    """Where units lie and how far they scatter about it, in the unit of their values.

    Attributes
    ----------
    count : (n,) array of int
        Units with a value there.
    middle, deviation : (n,) array
        NaN where fewer than 1 and 2 have a value.
    """

    count: Ints
    middle: Floats
    deviation: Floats


def centre(values: Floats, *, robust: bool = False) -> Centre:
    """Find the middle of units and their deviation.

    Parameters
    ----------
    values : (units, n) array
        One row a unit, any unit; what is not finite is missing.
    robust : bool
        False: mean and standard deviation. True: median, and the median distance from it times
        1.4826, corrected for few units: up to half of them may be anything.

    Returns
    -------
    Centre, (n,)

    Raises
    ------
    DspError
        Not two dimensions, or no unit.
    """
    values = np.asarray(values, dtype=np.float64)
    if values.ndim != 2 or not values.shape[0]:
        raise DspError("centre", "not units by places", given=values.shape, allowed="(units, n)")
    known = np.isfinite(values)
    count = known.sum(axis=0)
    if robust:
        middle = _median(values, known=known, count=count)
        away = _median(np.abs(values - middle), known=known, count=count)
        deviation = np.where(count > 1, _NORMAL * _correction(count) * away, np.nan)
    else:
        with np.errstate(invalid="ignore", divide="ignore"):
            middle = np.where(known, values, 0.0).sum(axis=0) / count
            away = np.where(known, values - middle, 0.0)
            deviation = np.sqrt((away**2).sum(axis=0) / np.where(count > 1, count - 1, np.nan))
    return Centre(
        count=read_only(count.astype(np.int64)),
        middle=read_only(middle),
        deviation=read_only(deviation),
    )


def _median(values: Floats, *, known: Floats, count: Ints) -> Floats:
    ordered = np.sort(np.where(known, values, np.inf), axis=0)  # what is missing goes to the end
    column = np.arange(values.shape[1])
    last = np.maximum(count - 1, 0)
    with np.errstate(invalid="ignore"):
        half = (ordered[last // 2, column] + ordered[(last + 1) // 2, column]) / 2
    middle: Floats = np.where(count > 0, half, np.nan)
    return middle


def _correction(count: Ints) -> Floats:
    few = _FEW[np.clip(count - 2, 0, _FEW.size - 1)]
    many = count / np.maximum(count - 0.8, 0.1)
    factor: Floats = np.where(count < _FEW.size + 2, few, many)
    return factor
