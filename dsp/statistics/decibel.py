"""Uncertainty of a ratio, and of the same ratio in decibels."""

import numpy as np

from dsp.arrays import Floats

DB_PER_NEPER = 20 / np.log(10)


def relative_to_db(relative: Floats | float) -> Floats:
    """Turn a relative uncertainty of an amplitude into decibels.

    Parameters
    ----------
    relative : (...) array or float
        Uncertainty over value, of an amplitude (of a power: half of it).

    Returns
    -------
    (...) array, dB: to first order, 8.686 dB times ``relative``, the same on either side. At 10 %
    the interval's true ends lie at +0.83 and -0.92 dB, not at 0.87 (JCGM 100:2008, 5.1.2).
    """
    db: Floats = DB_PER_NEPER * np.asarray(relative, dtype=np.float64)
    return db
