"""Limits that follow from how much units differ: mean and deviations, or a tolerance interval."""

import math
from dataclasses import dataclass
from typing import Literal

import numpy as np
from scipy.special import chdtrc, nctdtrit, ndtr, ndtri

from dsp.arrays import Floats, read_only
from dsp.errors import DspError
from dsp.statistics.centre import Centre

_NODES, _WEIGHTS = np.polynomial.legendre.leggauss(200)
_FAR = 8.5  # standard errors of the mean beyond which nothing is left to integrate


@dataclass(frozen=True, slots=True, eq=False, kw_only=True)
class Interval:
    """Lower and upper end at each place, (n,), in the unit of the values; NaN where not known."""

    lower: Floats
    upper: Floats


def sigma_limits(found: Centre, *, k: float) -> Interval:
    """Put limits at the mean plus and minus k standard deviations.

    Parameters
    ----------
    found : Centre, (n,)
        Of the units.
    k : float
        Above 0.

    Returns
    -------
    Interval, (n,); NaN where fewer than two units have a value.

    Raises
    ------
    DspError
        ``k`` not above 0.
    """
    if not 0 < k < math.inf:
        raise DspError("sigma_limits", "k not above 0", given=k, allowed="above 0")
    return _about(found, width=k * found.deviation)


def tolerance_limits(
    found: Centre, *, coverage: float, confidence: float, sides: Literal[1, 2] = 2
) -> Interval:
    """Put limits that hold a share of all units to come, with a stated confidence.

    Parameters
    ----------
    found : Centre, (n,)
        Of units drawn at random from a production taken to be normal.
    coverage, confidence : float
        Between 0 and 1.
    sides : 1 or 2
        2: the share lies between both limits; 1: each of them alone leaves the share on its side.

    Returns
    -------
    Interval, (n,); NaN where fewer than two units have a value. ISO 16269-6:2014, mean and
    standard deviation unknown.

    Raises
    ------
    DspError
        Coverage or confidence outside.
    """
    factor = np.full(found.count.shape, np.nan)
    for count in np.unique(found.count):
        if count > 1:
            factor[found.count == count] = tolerance_factor(
                int(count), coverage=coverage, confidence=confidence, sides=sides
            )
    return _about(found, width=factor * found.deviation)


def tolerance_factor(
    count: int, *, coverage: float, confidence: float, sides: Literal[1, 2] = 2
) -> float:
    """Give k so that mean ± k standard deviations of a sample hold a share of all units.

    Parameters
    ----------
    count : int
        Units in the sample, from 2.
    coverage : float
        Share of all units that the interval should hold, between 0 and 1.
    confidence : float
        How often it should, between 0 and 1.
    sides : 1 or 2
        1: mean + k standard deviations alone leaves the share below it.

    Returns
    -------
    float, exact for a normal distribution whose mean and standard deviation are both estimated
    (ISO 16269-6:2014; two sides: the integral that R. E. Odeh and D. B. Owen tabulated in 1980;
    one side: the non-central t distribution).

    Raises
    ------
    DspError
        Fewer than two units, coverage or confidence outside.
    """
    where = "tolerance_factor"
    if count < 2:
        raise DspError(where, "too few units", given=count, allowed="from 2")
    for name, share in (("coverage", coverage), ("confidence", confidence)):
        if not 0 < share < 1:
            raise DspError(where, f"{name} outside", given=share, allowed="between 0 and 1")
    if sides == 1:
        away = ndtri(coverage) * math.sqrt(count)
        return float(nctdtrit(count - 1, away, confidence)) / math.sqrt(count)
    # Over where the sample's mean may lie, in standard deviations of the production.
    place = (_NODES + 1) / 2 * _FAR / math.sqrt(count)
    weight = _WEIGHTS * np.exp(-count * place**2 / 2)
    weight = weight / weight.sum()  # by symmetry half the line is enough
    needed = (count - 1) * _half_width(place, coverage=coverage) ** 2
    low, high = 0.0, 1.0
    while np.sum(weight * chdtrc(count - 1, needed / high**2)) < confidence:
        low, high = high, 2 * high
    for _ in range(60):
        middle = (low + high) / 2
        enough = np.sum(weight * chdtrc(count - 1, needed / middle**2)) >= confidence
        low, high = (low, middle) if enough else (middle, high)
    return high


def _half_width(place: Floats, *, coverage: float) -> Floats:
    # r with P(place - r < Z < place + r) = coverage, Z standard normal.
    least = float(ndtri((1 + coverage) / 2))
    low, high = np.full(place.shape, least), place + least + 1
    for _ in range(60):
        middle = (low + high) / 2
        wide = ndtr(place + middle) - ndtr(place - middle) >= coverage
        low, high = np.where(wide, low, middle), np.where(wide, middle, high)
    half: Floats = high
    return half


def _about(found: Centre, *, width: Floats) -> Interval:
    return Interval(lower=read_only(found.middle - width), upper=read_only(found.middle + width))
