"""Peaks and dips that can be seen, for the key that goes from one to the next."""

import numpy as np

from dsp.arrays import Floats, Ints


def extrema(y: Floats, *, least: float) -> Ints:
    """Return the indices of the peaks and dips of (n,) ``y``, in their order.

    A turn counts when the curve goes back by ``least`` from it, so that noise is passed over;
    NaN values are passed over too, and the two ends are neither.
    """
    known = np.flatnonzero(np.isfinite(y))
    found: list[int] = []
    if not known.size:
        return np.array(found, dtype=np.int64)
    first = int(known[0])
    farthest, rising = first, 0  # 0: not known yet, and ``farthest`` is where it began
    for index in map(int, known):
        if not rising:
            away = y[index] - y[first]
            rising = int(np.sign(away)) if abs(away) >= least else 0
            farthest = index if rising else first
        elif rising * (y[index] - y[farthest]) >= 0:
            farthest = index
        elif rising * (y[farthest] - y[index]) >= least:
            found.append(farthest)
            farthest, rising = index, -rising
    return np.array(found, dtype=np.int64)
