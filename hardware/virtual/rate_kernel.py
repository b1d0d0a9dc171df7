"""Filters between two sample rates: compiled, and in one thread, so that a live rig keeps time."""

import numba as nb

from dsp import Floats


@nb.njit(cache=True, nogil=True, fastmath=True)
def interpolate(coarse: Floats, phases: Floats, out: Floats) -> None:
    """Filter to a multiple of the sample rate.

    Parameters
    ----------
    coarse : (n + taps - 1,) array
        Samples before, history first.
    phases : (factor, taps) array
        Row p makes sample p of each step; the tap for the oldest sample comes first.
    out : (n, factor) array
        Samples after.
    """
    for n in range(out.shape[0]):
        for p in range(phases.shape[0]):
            total = 0.0
            for k in range(phases.shape[1]):
                total += coarse[n + k] * phases[p, k]
            out[n, p] = total


@nb.njit(cache=True, nogil=True, fastmath=True)
def decimate(fine: Floats, taps: Floats, out: Floats) -> None:
    """Filter and keep one sample of each group.

    Parameters
    ----------
    fine : (channels, factor n + taps - 1) array
        Samples before, history first.
    taps : (taps,) array
        Symmetric filter.
    out : (channels, n) array
        Samples after.
    """
    factor = (fine.shape[1] - taps.size + 1) // out.shape[1]
    for c in range(out.shape[0]):
        for n in range(out.shape[1]):
            total = 0.0
            start = n * factor
            for k in range(taps.size):
                total += fine[c, start + k] * taps[k]
            out[c, n] = total
