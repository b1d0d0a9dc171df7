"""Finds impulses in what does not repeat, and tells clicks from what rings."""

from dataclasses import dataclass

import numpy as np

from dsp.arrays import Bools, Floats, Ints

# Energy is gathered over about the length of a click; longer, and noise would fill it up.
_GATHER_S = 0.4e-3
# Over the middle of the gathered energy. Noise of 14 kHz bandwidth has 11 degrees of freedom in
# 0.4 ms and passes 5 times its median once in a million: in one take of two hundred.
_THRESHOLD = 5.0
_APART_S = 3e-3  # closer crossings are one impulse
_LONGEST_CLICK_S = 1.5e-3
# A click is over here; what falls in a hall rings on, and has this part of its start left.
_TAIL_S = (1.2e-3, 4.2e-3)
_RINGS_ON = 0.15


@dataclass(frozen=True, slots=True, eq=False, kw_only=True)
class Crossings:
    """Impulses by sample.

    Attributes
    ----------
    first, last : (m,) arrays of int
        First and last sample above the threshold.
    peak : (m,) array of int
        Sample of the largest magnitude.
    is_short : (m,) bool array
        A click: over within 1.5 ms, and nothing left behind it.
    """

    first: Ints
    last: Ints
    peak: Ints
    is_short: Bools


def crossings(energy: Floats, *, level: Floats | float, sample_rate_hz: float) -> Crossings:
    """Find where the energy stands out.

    Parameters
    ----------
    energy : (n,) array
        Of what does not repeat, as ``gathered`` gives it.
    level : (n,) array or float
        The middle of it about each sample, same unit.
    sample_rate_hz : float
        Hz.

    Returns
    -------
    Crossings, in order.
    """
    above = np.flatnonzero(energy > _THRESHOLD * level)
    empty = np.zeros(0, dtype=np.int64)
    if not above.size:
        return Crossings(first=empty, last=empty, peak=empty, is_short=empty.astype(bool))
    cuts = np.flatnonzero(np.diff(above) > _APART_S * sample_rate_hz)
    first = above[np.concatenate([[0], cuts + 1])]
    last = above[np.concatenate([cuts, [above.size - 1]])]
    peak = np.array([a + np.argmax(energy[a : b + 1]) for a, b in zip(first, last, strict=True)])
    middle = np.broadcast_to(level, energy.shape)[peak]
    brief = last - first < (_LONGEST_CLICK_S + _GATHER_S) * sample_rate_hz
    left = _left(energy, peak=peak, middle=middle, sample_rate_hz=sample_rate_hz)
    return Crossings(first=first, last=last, peak=peak, is_short=brief & (left < _RINGS_ON))


def gathered(white: Floats, *, sample_rate_hz: float) -> Floats:
    """Average the square over the length of a click, centred.

    Parameters
    ----------
    white : (n,) array
        Any unit, its noise alike over the band.
    sample_rate_hz : float
        Hz.

    Returns
    -------
    (n,) array, that unit squared.
    """
    # Towards either end over what there is.
    half = int(_GATHER_S * sample_rate_hz) // 2
    total = np.pad(np.cumsum(np.square(white)), (half + 1, half), mode="edge")
    total[: half + 1] = 0.0
    counts = np.full(white.size, 2.0 * half + 1)
    fewer = np.arange(min(half, white.size))
    counts[fewer] -= half - fewer
    counts[::-1][fewer] -= half - fewer
    out: Floats = (total[2 * half + 1 :] - total[: white.size]) / counts
    return out


def _left(energy: Floats, *, peak: Ints, middle: Floats, sample_rate_hz: float) -> Floats:
    # Mean energy behind each impulse over that in it, both less the middle of all.
    total = np.concatenate([[0.0], np.cumsum(energy)])
    start, stop = (np.minimum(peak + round(s * sample_rate_hz), energy.size) for s in _TAIL_S)
    behind = (total[stop] - total[start]) / np.maximum(stop - start, 1) - middle
    out: Floats = np.where(stop > start, behind, 0.0) / (energy[peak] - middle)
    return out
