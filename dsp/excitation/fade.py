"""Ramps at the two ends of a signal, so that it starts from silence and ends in it."""

import numpy as np

from dsp.arrays import Floats
from dsp.errors import DspError

FADE_S = 0.005  # short against every settling time, long against a tweeter's click


def faded(samples: Floats, *, fade_samples: int) -> Floats:
    """Let a signal rise from zero and return to it along half a cosine.

    Parameters
    ----------
    samples : (n,) array
        Any unit; not changed.
    fade_samples : int
        Length of either ramp.

    Returns
    -------
    (n,) array, first and last sample zero where there is a ramp at all.

    Raises
    ------
    DspError
        Two ramps longer than the signal.
    """
    if not 0 <= 2 * fade_samples <= samples.size:
        allowed = f"0 to {samples.size // 2} samples"
        raise DspError("faded", "ramps too long", given=fade_samples, allowed=allowed)
    out = samples.copy()
    if fade_samples:
        ramp = np.sin(np.pi / 2 * np.arange(fade_samples) / fade_samples) ** 2
        out[:fade_samples] *= ramp
        out[-fade_samples:] *= ramp[::-1]
    return out
