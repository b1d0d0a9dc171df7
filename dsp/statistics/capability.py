"""How well a production fits between its limits: capability, with its interval."""

from dataclasses import dataclass

import numpy as np
from scipy.special import chdtri, ndtr, ndtri

from dsp.errors import DspError


@dataclass(frozen=True, slots=True, kw_only=True)
class Capability:
    """Capability of one value (NIST/SEMATECH e-Handbook of Statistical Methods, 6.1.6).

    Attributes
    ----------
    count : int
        Units it was found from.
    cp : float or None
        Width between the limits over six deviations; None with one limit.
    cp_low, cp_high : float or None
        Its interval, from that of the deviation.
    cpk : float
        Distance of the mean to the nearer limit over three deviations.
    cpk_low, cpk_high : float
        Its interval, to first order (A. F. Bissell, Applied Statistics 39 (1990) 331).
    outside : float
        Share of a normal production that lies outside, 0 to 1.
    confidence : float
        Of both intervals.
    """

    count: int
    cp: float | None
    cp_low: float | None
    cp_high: float | None
    cpk: float
    cpk_low: float
    cpk_high: float
    outside: float
    confidence: float


def capability(
    *,
    mean: float,
    deviation: float,
    count: int,
    upper: float = np.inf,
    lower: float = -np.inf,
    confidence: float = 0.95,
) -> Capability:
    """Hold a production against its limits.

    Parameters
    ----------
    mean, deviation : float
        Of the units, any unit; deviation above 0.
    count : int
        How many units they were found from, from 2.
    upper, lower : float
        Limits, same unit; infinite where there is none, one of them at least.
    confidence : float
        Between 0 and 1.

    Returns
    -------
    Capability

    Raises
    ------
    DspError
        No limit, limits crossed, no deviation, or too few units.
    """
    where = "capability"
    if not deviation > 0:
        raise DspError(where, "no deviation", given=deviation, allowed="above 0")
    if count < 2:
        raise DspError(where, "too few units", given=count, allowed="from 2")
    if not (np.isfinite(upper) or np.isfinite(lower)) or lower >= upper:
        raise DspError(where, "no limits, or crossed ones", given=(lower, upper))
    cp = cp_low = cp_high = None
    if np.isfinite(upper) and np.isfinite(lower):
        cp = (upper - lower) / (6 * deviation)
        # chdtri is the inverse of the upper tail.
        tails = (1 + confidence) / 2, (1 - confidence) / 2
        cp_low, cp_high = (cp * float(np.sqrt(chdtri(count - 1, p) / (count - 1))) for p in tails)
    cpk = min(upper - mean, mean - lower) / (3 * deviation)
    width = float(ndtri((1 + confidence) / 2)) * np.sqrt(
        1 / (9 * count) + cpk**2 / (2 * (count - 1))
    )
    return Capability(
        count=count,
        cp=cp,
        cp_low=cp_low,
        cp_high=cp_high,
        cpk=float(cpk),
        cpk_low=float(cpk - width),
        cpk_high=float(cpk + width),
        outside=float(ndtr((lower - mean) / deviation) + ndtr((mean - upper) / deviation)),
        confidence=confidence,
    )
