"""Medians and quartiles over periods, from one sort: several times faster than partitions here."""

import numpy as np

from dsp.arrays import Floats


def ranked(rows: Floats, share: float) -> Floats:
    """Find what a share of the rows lies below, column by column.

    Parameters
    ----------
    rows : (m, k) array
        Any unit.
    share : float
        0 to 1; 0.5 for the median. Linear between neighbours.

    Returns
    -------
    (k,) array, same unit.
    """
    rising = np.sort(rows, axis=0)
    at = share * (rising.shape[0] - 1)
    below = int(at)
    above = min(below + 1, rising.shape[0] - 1)
    out: Floats = rising[below] + (at - below) * (rising[above] - rising[below])
    return out
