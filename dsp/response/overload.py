"""Tell a converter that ran into its rail from a signal that merely came near it."""

from dataclasses import dataclass
from typing import Any

import numpy as np
from numpy.typing import NDArray

from dsp.arrays import Ints
from dsp.errors import DspError

# The highest code of a 16-bit converter; deeper ones come nearer to the rail.
_NEAR = 1 - 2.0**-15
_RUN_THAT_CLIPS = 3
_PAIRS_THAT_CLIP = 2


@dataclass(frozen=True, slots=True, kw_only=True)
class Overload:
    """What was found at the rails.

    Attributes
    ----------
    count : int
        Samples at either rail.
    longest_run : int
        Most of them in a row at the same rail.
    clipped : bool
        Whether a run of three or more, or two runs of two, say that more was cut off: a signal
        that just fits touches the rail with single samples.
    """

    count: int
    longest_run: int
    clipped: bool


def overload(samples: NDArray[np.floating[Any]], *, rail: float = 1.0) -> Overload:
    """Look for clipping in one channel.

    Parameters
    ----------
    samples : (n,) array
        Any unit.
    rail : float
        Largest value that the converter gives, in the unit of ``samples``; the lowest is its
        negative.

    Returns
    -------
    Overload

    Raises
    ------
    DspError
        Not one channel, samples that are not numbers, or no rail.
    """
    if samples.ndim != 1:
        raise DspError("overload", "not one channel", given=samples.shape, allowed="(n,)")
    lowest, highest = np.min(samples, initial=0.0), np.max(samples, initial=0.0)
    if not (np.isfinite(lowest) and np.isfinite(highest)):
        raise DspError("overload", "not numbers", given="NaN or infinity", allowed="finite samples")
    if not rail > 0:
        raise DspError("overload", "no rail", given=rail, allowed="above 0")
    if max(highest, -lowest) < rail * _NEAR:
        return Overload(count=0, longest_run=0, clipped=False)
    runs = np.concatenate(
        [_runs(samples >= rail * _NEAR), _runs(samples <= -rail * _NEAR)], dtype=np.int64
    )
    longest = int(runs.max(initial=0))
    pairs = int(np.count_nonzero(runs >= 2))
    return Overload(
        count=int(runs.sum()),
        longest_run=longest,
        clipped=longest >= _RUN_THAT_CLIPS or pairs >= _PAIRS_THAT_CLIP,
    )


def _runs(there: NDArray[np.bool_]) -> Ints:
    # Lengths of the runs of True.
    edges = np.flatnonzero(np.diff(there.astype(np.int8), prepend=0, append=0))
    return edges[1::2] - edges[::2]
