"""Preferred numbers of the Renard series, and the preferred frequencies made of them."""

import math

import numpy as np

from dsp.arrays import Floats
from dsp.errors import DspError

# ISO 3:1973, table 1. The rounding is the standard's own and follows no formula.
_R80 = (
    "1 1.03 1.06 1.09 1.12 1.15 1.18 1.22 1.25 1.28 1.32 1.36 1.4 1.45 1.5 1.55 1.6 1.65 1.7 1.75 "
    "1.8 1.85 1.9 1.95 2 2.06 2.12 2.18 2.24 2.3 2.36 2.43 2.5 2.58 2.65 2.72 2.8 2.9 3 3.07 3.15 "
    "3.25 3.35 3.45 3.55 3.65 3.75 3.87 4 4.12 4.25 4.37 4.5 4.62 4.75 4.87 5 5.15 5.3 5.45 5.6 "
    "5.8 6 6.15 6.3 6.5 6.7 6.9 7.1 7.3 7.5 7.75 8 8.25 8.5 8.75 9 9.25 9.5 9.75"
)
_SERIES = {5: 16, 10: 8, 20: 4, 40: 2, 80: 1}  # every so many numbers of R80


def preferred_numbers(series: int) -> Floats:
    """Give one decade of a Renard series.

    Parameters
    ----------
    series : int
        5, 10, 20, 40 or 80: numbers a decade.

    Returns
    -------
    (series,) array, from 1 to below 10.

    Raises
    ------
    DspError
        No such series.
    """
    if series not in _SERIES:
        allowed = "5, 10, 20, 40 or 80"
        raise DspError("preferred_numbers", "no such series", given=series, allowed=allowed)
    return np.array([float(number) for number in _R80.split()[:: _SERIES[series]]])


def preferred_frequencies(series: int, *, low_hz: float, high_hz: float) -> Floats:
    """List the preferred frequencies of a span (ISO 266).

    Parameters
    ----------
    series : int
        5, 10, 20, 40 or 80.
    low_hz, high_hz : float
        Hz, both ends included.

    Returns
    -------
    (n,) array, Hz, rising.

    Raises
    ------
    DspError
        No such series, or a span that does not rise from above 0 Hz.
    """
    if not 0 < low_hz <= high_hz < math.inf:
        given = f"{low_hz} to {high_hz} Hz"
        raise DspError("preferred_frequencies", "span does not rise", given=given)
    exponents = range(math.floor(math.log10(low_hz)), math.floor(math.log10(high_hz)) + 1)
    decade = preferred_numbers(series)
    every = np.concatenate([_scaled(decade, exponent=exponent) for exponent in exponents])
    return every[(every >= low_hz) & (every <= high_hz)]


def nearest_preferred(value: Floats, *, series: int) -> Floats:
    """Find the preferred number at the smallest ratio.

    Parameters
    ----------
    value : (n,) array
        Above 0, any unit.
    series : int
        5, 10, 20, 40 or 80.

    Returns
    -------
    (n,) array, in the unit of ``value``.

    Raises
    ------
    DspError
        No such series, or a value that is not above 0.
    """
    value = np.asarray(value, dtype=np.float64)
    if not np.all((value > 0) & np.isfinite(value)):
        raise DspError("nearest_preferred", "not positive and finite", given=value)
    decade = np.append(preferred_numbers(series), 10.0)
    exponent = np.floor(np.log10(value))
    # In the logarithm, because the printed numbers stray by 1 % and more from even steps.
    ratio = np.log10(value)[..., np.newaxis] - exponent[..., np.newaxis] - np.log10(decade)
    nearest = decade[np.argmin(np.abs(ratio), axis=-1)]
    found: Floats = np.where(exponent < 0, nearest / 10.0**-exponent, nearest * 10.0**exponent)
    return found


def _scaled(decade: Floats, *, exponent: int) -> Floats:
    # Dividing by a whole power of ten keeps 0.63 the float that one types as 0.63.
    scaled: Floats = decade * 10.0**exponent if exponent >= 0 else decade / 10.0**-exponent
    return scaled
