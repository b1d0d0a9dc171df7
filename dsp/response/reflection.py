"""When the first reflection arrives, read from an impulse response."""

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray
from scipy import fft

from dsp.arrays import Floats
from dsp.response.impulse import ImpulseResponse

_FROM_HZ, _TO_HZ = 400.0, 14_000.0  # below, a unit's own ringing; above, little is reflected
_SMOOTHED_OCTAVES = 1 / 3
_BEFORE_S, _FIRST_S, _LAST_S = 0.001, 0.0012, 0.040  # about the arrival
_LEAST = 0.08  # of the direct sound: 22 dB below
_ABOVE_BACKGROUND = 8.0  # times the median of what lies about
_APART_S = 0.0002  # a peak is the highest within so much


@dataclass(frozen=True, slots=True, kw_only=True)
class Reflection:
    """The first reflection.

    Attributes
    ----------
    after_s : float
        s after the direct sound.
    strength : float
        Amplitude re the direct sound.
    """

    after_s: float
    strength: float


def first_reflection(impulse: ImpulseResponse) -> Reflection | None:
    """Find the first delayed copy of the direct sound.

    The response is flattened by its own smoothed magnitude, so that the unit's colour is gone and
    every arrival is a short pulse; the first that stands out after 1.2 ms is the reflection.

    Parameters
    ----------
    impulse : ImpulseResponse
        (n,) samples, without a gate.

    Returns
    -------
    Reflection, or None where nothing stands out within 40 ms, 22 dB below the direct sound or more.
    """
    rate = impulse.sample_rate_hz
    start = max(0, impulse.arrival_index - round(_BEFORE_S * rate))
    stop = min(impulse.samples.size, impulse.arrival_index + round(2 * _LAST_S * rate))
    if stop - start < round(2 * _FIRST_S * rate):
        return None
    pulses = _flattened(impulse.samples[start:stop], sample_rate_hz=rate)
    direct = int(np.argmax(pulses[: round((_BEFORE_S + _FIRST_S) * rate)]))
    if pulses[direct] == 0:
        return None
    first, last = direct + round(_FIRST_S * rate), direct + round(_LAST_S * rate)
    rest = pulses[first:last] / pulses[direct]
    if not rest.size:
        return None
    least = max(_LEAST, _ABOVE_BACKGROUND * float(np.median(rest)))
    near = round(_APART_S * rate)
    for at in np.flatnonzero(rest >= least):
        if rest[at] == rest[max(0, at - near) : at + near + 1].max():
            return Reflection(after_s=(first + int(at) - direct) / rate, strength=float(rest[at]))
    return None


def _flattened(samples: NDArray[np.floating], *, sample_rate_hz: float) -> Floats:
    # The envelope of a response whose smoothed magnitude is made the same everywhere.
    size = fft.next_fast_len(2 * samples.size, real=True)
    spectrum = fft.rfft(samples, size)
    hz = fft.rfftfreq(size, 1 / sample_rate_hz)
    power = np.concatenate([[0.0], np.cumsum(np.abs(spectrum) ** 2)])
    half = 2 ** (_SMOOTHED_OCTAVES / 2)
    low = np.searchsorted(hz, hz / half)
    high = np.maximum(np.searchsorted(hz, hz * half), low + 1)
    smooth = np.sqrt((power[high] - power[low]) / (high - low))
    band = _band(hz, top_hz=min(_TO_HZ, 0.4 * sample_rate_hz))
    flat = np.where(smooth > 0, spectrum * band / np.maximum(smooth, 1e-300), 0.0)
    whole = np.zeros(size, dtype=np.complex128)  # without its negative frequencies: an envelope
    whole[: flat.size] = flat
    envelope: Floats = np.abs(fft.ifft(whole))[: samples.size]
    return envelope


def _band(hz: Floats, *, top_hz: float) -> Floats:
    # 1 within the band, smooth over an octave at either end.
    octave = np.log2(np.maximum(hz, 1e-9))
    low = np.clip(octave - np.log2(_FROM_HZ / 2), 0, 1)
    high = np.clip(np.log2(top_hz) - octave, 0, 1)
    weight: Floats = np.sin(np.pi / 2 * np.minimum(low, high)) ** 2
    return weight
