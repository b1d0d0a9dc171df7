"""The frequencies at which a curve from a sweep is given."""

import math

import numpy as np

from dsp.arrays import Floats, read_only
from dsp.bands import OCTAVE_RATIO, REFERENCE_HZ, check_span


def log_grid(*, low_hz: float, high_hz: float, per_octave: int) -> Floats:
    """Divide a span evenly in log f, hitting 1 kHz and both ends.

    Parameters
    ----------
    low_hz, high_hz : float
        Hz; both are points of the grid, whatever the division.
    per_octave : int
        Steps an octave (of 10 to the power 0.3, as in IEC 61260-1:2014, 5.2).

    Returns
    -------
    (n,) array, Hz, strictly rising, read-only: the ends, and 1 kHz times every whole power of
    10^(0.3 / per_octave) between them that is not within a hundredth of a step of an end. Points,
    not bands: an even division has 1 kHz as well, where bands have an edge.

    Raises
    ------
    DspError
        ``per_octave`` below 1, or a span that does not rise from above 0 Hz.
    """
    check_span("log_grid", low_hz=low_hz, high_hz=high_hz, per_octave=per_octave)
    low, high = (
        per_octave * math.log10(end / REFERENCE_HZ) / math.log10(OCTAVE_RATIO)
        for end in (low_hz, high_hz)
    )
    near = 0.01  # two points closer than this are one point twice
    steps = np.arange(math.floor(low), math.ceil(high) + 1)
    inside = steps[(steps > low + near) & (steps < high - near)]
    middle = REFERENCE_HZ * 10 ** (0.3 * inside / per_octave)
    return read_only(np.concatenate([[low_hz], middle, [high_hz]]))
