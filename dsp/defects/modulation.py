"""Noise that breathes with the cone: power of the random part over the cycle of displacement."""

from dataclasses import dataclass

import numpy as np

from dsp.arrays import Bools, Floats, read_only
from dsp.defects.figure import Figure
from dsp.defects.fold import Folded
from dsp.defects.ranked import ranked

_PARTS = 24
# The median of a few values scatters by this much more than their mean (sqrt(pi/2)).
_MEDIAN = 1.2533
_QUARTILES = 1.349  # of a normal distribution are so many standard deviations apart
# Standard deviations, of the larger of two orders: one tone in 20 000 (of 9000 in noise none passed
# 4.4; their highest twentieth, drawn on exponentially).
_CLEAR = 5.0


@dataclass(frozen=True, slots=True, eq=False, kw_only=True)
class Modulation:
    """How the power of what does not repeat lies in the cycle.

    Attributes
    ----------
    depth : Figure
        0 to 1.
    power : (b,) array
        Pa^2, in b equal parts of the cycle from -pi on.
    """

    depth: Figure
    power: Floats

    def __post_init__(self) -> None:
        object.__setattr__(self, "power", read_only(self.power))


def modulation(folded: Folded, *, kept: Bools, sync_pa: Floats) -> Modulation:
    """Find by how much the random part breathes, once or twice a period.

    Parameters
    ----------
    folded : Folded
        (m, k) Pa.
    kept : (m,) bool array
        At least two.
    sync_pa : (k,) array
        Pa, what repeats.

    Returns
    -------
    Modulation. Its depth is the larger of |sum e(phi) exp(j n phi)| / sum e(phi) for n = 1 and 2,
    e the power about phi with the noise made alike over the band. Air through a leak hisses with
    the square of the velocity, so twice a period: for e as v^4 the depth is 2/3.

    Notes
    -----
    The median over the periods takes no notice of one that something fell in.
    """
    count = int(np.count_nonzero(kept))
    # Rolled so that columns rise from -pi; then parts are slices.
    first = int(np.argmin(folded.phase_rad))
    white = np.roll(folded.white[kept], -first, axis=1)
    starts = (np.arange(_PARTS) * white.shape[1]) // _PARTS
    lengths = np.diff(np.append(starts, white.shape[1]))
    off = white - ranked(white, 0.5)
    each = np.add.reduceat(off**2, starts, axis=1) / lengths
    power = ranked(each, 0.5)
    spread = ranked(each, 0.75) - ranked(each, 0.25)
    scatter = _MEDIAN * spread / _QUARTILES / np.sqrt(count)
    at = (np.arange(_PARTS) + 0.5) * (2 * np.pi / _PARTS) - np.pi
    total = float(power.sum())
    turns = np.exp(1j * np.outer([1, 2], at))
    depth = float(np.max(np.abs(turns @ power))) / total if total > 0 else 0.0
    deviation = float(np.sqrt(np.sum(scatter**2) / 2)) / total if total > 0 else 0.0
    residual = np.roll(folded.residual[kept] - sync_pa, -first, axis=1)
    parts = np.add.reduceat(residual**2, starts, axis=1) / lengths
    return Modulation(depth=_depth(depth, deviation), power=ranked(parts, 0.5))


def _depth(depth: float, deviation: float) -> Figure:
    if depth > _CLEAR * deviation:
        value = float(np.sqrt(depth**2 - 2 * deviation**2))
        return Figure(value=value, uncertainty=2 * deviation, is_bound=False)
    value = min(depth + 2 * deviation, 1.0)
    return Figure(value=value, uncertainty=float("nan"), is_bound=True)
