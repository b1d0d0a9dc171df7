"""Sine tapers: windows over a whole record whose spectra, averaged, forget none of it.

K. S. Riedel, A. Sidorenko, IEEE Trans. Signal Process. 43 (1995) 188.
"""

from functools import lru_cache

import numpy as np

from dsp.arrays import Floats, read_only


@lru_cache(maxsize=8)  # channel after channel, take after take asks for the same ones
def sine_tapers(count: int, *, samples: int) -> Floats:
    """Return the first tapers of a record.

    Parameters
    ----------
    count : int
        How many.
    samples : int
        Length of the record, n.

    Returns
    -------
    (count, n) array, each with a sum of squares of 1; read-only.
    """
    order = np.arange(1, count + 1)[:, np.newaxis]
    place = np.arange(1, samples + 1) / (samples + 1)
    return read_only(np.sqrt(2 / (samples + 1)) * np.sin(np.pi * order * place))
