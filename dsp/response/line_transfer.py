"""A transfer function from whole periods of a multitone: exact at its lines."""

import numpy as np

from dsp.arrays import Bools, Complexes, Floats, Ints
from dsp.response.transfer import Transfer

_BESIDE = 10  # bins on either side of a line in which noise is looked for


def line_transfer(
    channel: Floats, *, reference: Floats, periods: int, lines: Ints, sample_rate_hz: float
) -> Transfer:
    """Divide the discrete Fourier transforms of two channels at the lines of a multitone.

    Noise is told from bins that a signal of this period cannot reach, when two or more periods
    are there; from one period alone, from bins without a line, and then it holds the distortion
    that falls between the lines.

    Parameters
    ----------
    channel, reference : (n,) array
        Any unit; whole periods.
    periods : int
        How many.
    lines : (m,) array of int
        Bins of one period, rising.
    sample_rate_hz : float
        Hz.

    Returns
    -------
    Transfer, (m,)
    """
    heard, sent = np.fft.rfft(channel), np.fft.rfft(reference)
    at = lines * periods
    bins = np.arange(heard.size)
    free = bins % periods != 0 if periods > 1 else ~np.isin(bins, lines)
    free[0] = free[-1] = False
    noise_heard = _beside(heard, at, free=free)
    # A reference computed, not recorded, has none.
    noise_sent = _beside(sent, at, free=free)
    size = np.abs(sent[at])
    ratio = np.divide(heard[at], sent[at], out=np.full(at.size, np.nan + 0j), where=size > 0)
    variance = (noise_heard + np.square(np.abs(ratio)) * noise_sent) / np.square(size)
    explained = np.maximum(np.square(np.abs(heard[at])), np.finfo(np.float64).tiny)
    return Transfer(
        frequency_hz=at * sample_rate_hz / channel.size,
        ratio=ratio,
        spread=np.sqrt(variance / 2),
        coherence=np.clip(1 - noise_heard / explained, 0, 1),
    )


def _beside(spectrum: Complexes, at: Ints, *, free: Bools) -> Floats:
    power = np.where(free, np.square(np.abs(spectrum)), 0.0)
    summed = np.concatenate([[0.0], np.cumsum(power)])
    counted = np.concatenate([[0], np.cumsum(free)])
    low = np.maximum(at - _BESIDE, 0)
    high = np.minimum(at + _BESIDE + 1, free.size)
    count = counted[high] - counted[low]
    out: Floats = np.where(count > 0, (summed[high] - summed[low]) / np.maximum(count, 1), np.nan)
    return out
