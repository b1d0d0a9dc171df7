"""The ear's own frequency scale: critical-band rate, and the width of a critical band."""

import numpy as np

from dsp.arrays import Floats

HIGHEST_BARK = 24.0


def critical_band_rate(frequency_hz: Floats) -> Floats:
    """Give the place of a frequency on the basilar membrane.

    Parameters
    ----------
    frequency_hz : (...) array
        Hz.

    Returns
    -------
    (...) array, Bark; within 0.2 Bark of the tabulated critical bands.

    References
    ----------
    E. Zwicker, E. Terhardt, J. Acoust. Soc. Am. 68 (1980) 1523, equation 1.
    """
    khz = np.asarray(frequency_hz) / 1000
    rate: Floats = 13 * np.arctan(0.76 * khz) + 3.5 * np.arctan((khz / 7.5) ** 2)
    return rate


def critical_bandwidth_hz(frequency_hz: Floats) -> Floats:
    """Give the width of the critical band about a frequency.

    Parameters
    ----------
    frequency_hz : (...) array
        Hz.

    Returns
    -------
    (...) array, Hz; within 10 % of the tabulated critical bands.

    References
    ----------
    E. Zwicker, E. Terhardt, J. Acoust. Soc. Am. 68 (1980) 1523, equation 2.
    """
    khz = np.asarray(frequency_hz) / 1000
    width: Floats = 25 + 75 * (1 + 1.4 * khz**2) ** 0.69
    return width
