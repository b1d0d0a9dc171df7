"""Brings a channel to the clock of the excitation."""

from math import factorial

import numpy as np
from scipy import fft

from dsp.arrays import Floats
from dsp.errors import DspError

# Eight times the rate and six points: within 1e-5 of amplitude up to 0.4535 of the sample rate.
_FINER = 8
_POINTS = 6
# Samples kept beyond either end; more than the interpolation and its ringing reach.
_MARGIN = 256


def retime(channel: Floats, *, start_sample: float, clock_offset_ppm: float, length: int) -> Floats:
    """Resample a channel so that sample n was taken while sample n of the excitation was played.

    Parameters
    ----------
    channel : (n,) array
        Raw, any unit.
    start_sample : float
        Where in it sample 0 of the excitation lies; may be negative or lie between samples.
    clock_offset_ppm : float
        How much faster the recorder's clock ran.
    length : int
        Samples wanted, on the player's clock.

    Returns
    -------
    (length,) array, same unit. What the recording does not hold, before its start and after its
    end, is zero. A whole ``start_sample`` without an offset gives an exact copy.

    Raises
    ------
    DspError
        Nothing of the recording would be left, or the offset is absurd.
    """
    if not abs(clock_offset_ppm) < 1e5 or not np.isfinite(start_sample):
        raise DspError(
            "retime", "offset", given=(start_sample, clock_offset_ppm), allowed="below 1e5 ppm"
        )
    ratio = 1 + 1e-6 * clock_offset_ppm
    begin = int(np.floor(start_sample))
    end = int(np.floor(start_sample + (length - 1) * ratio)) + 1
    if length < 1 or begin >= channel.size or end <= 0:
        raise DspError("retime", "nothing of the recording left", given=(start_sample, length))
    if ratio == 1.0 and begin == start_sample:
        return _cut(channel, begin, begin + length)
    piece = _cut(channel, begin - _MARGIN, end + _MARGIN)
    # Smoothly to zero in the margins: an edge would ring through what is wanted.
    edge = np.sin(np.pi / 2 * np.arange(_MARGIN) / _MARGIN) ** 2
    piece[:_MARGIN] *= edge
    piece[-_MARGIN:] *= edge[::-1]
    place = start_sample - (begin - _MARGIN) + ratio * np.arange(float(length))
    return _interpolated(piece, place)


def _cut(channel: Floats, begin: int, end: int) -> Floats:
    inside = channel[max(begin, 0) : max(min(end, channel.size), 0)]
    # A padded copy, even where nothing is padded.
    return np.pad(inside, (max(-begin, 0), max(end - channel.size, 0)))


def _interpolated(piece: Floats, place: Floats) -> Floats:
    size = fft.next_fast_len(piece.size, real=True)
    fine = fft.irfft(fft.rfft(piece, size), _FINER * size) * _FINER
    fine_place = _FINER * place
    below = fine_place.astype(np.int64)
    fraction = fine_place - below
    first = 1 - _POINTS // 2
    distance = [fraction - (first + j) for j in range(_POINTS)]
    # Lagrange's weights as products from the left times products from the right.
    left = [np.ones_like(fraction)]
    for j in range(_POINTS - 1):
        left.append(left[-1] * distance[j])
    right = np.ones_like(fraction)
    out = np.zeros_like(fraction)
    for j in reversed(range(_POINTS)):
        others = _POINTS - 1 - j
        scale = (-1) ** others / (factorial(j) * factorial(others))
        out += left[j] * right * scale * fine[below + (first + j)]
        right = right * distance[j]
    return out
