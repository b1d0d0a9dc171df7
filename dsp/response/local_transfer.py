"""A transfer function from two spectra of one whole record, fitted smoothly around each point."""

from dataclasses import dataclass

import numpy as np
from scipy import fft

from dsp.arrays import Complexes, Floats
from dsp.response.transfer import Transfer

_HALF_BAND = 2 ** (1 / 48)  # 1/24 octave in all
_HALF_BINS = 6  # at least so many on either side
_DEGREE = 2
_WHITENED_OVER = 64  # bins


@dataclass(frozen=True, slots=True, kw_only=True)
class _Local:
    ratio: complex
    spread: float
    coherence: float


def local_transfer(
    channel: Floats, *, reference: Floats, sample_rate_hz: float, frequency_hz: Floats
) -> Transfer:
    """Fit channel = reference times a parabola over frequency, in a narrow band at each point.

    For a signal that begins and ends in silence inside the record the ratio of the two spectra
    is the transfer function itself, bin by bin, with nothing lost to a window; the fit only
    averages the noise out, and what it leaves tells how strong that noise is. The bulk of the
    delay is taken out before and put back after, as it would turn the phase within the band. The
    band is 1/24 octave wide and never less than 13 bins.

    Parameters
    ----------
    channel, reference : (n,) array
        Any unit; the reference free of noise.
    sample_rate_hz : float
        Hz.
    frequency_hz : (m,) array
        Hz, strictly rising.

    Returns
    -------
    Transfer, (m,)

    References
    ----------
    R. Pintelon, J. Schoukens, "System Identification: A Frequency Domain Approach", 2nd ed.
    (2012), chapter 7, local polynomial approximation.
    """
    length = fft.next_fast_len(channel.size, real=True)
    heard, sent = fft.rfft(channel, length), fft.rfft(reference, length)
    delay = _bulk_delay(heard, sent, length)
    cycles = np.arange(heard.size) / length
    heard = heard * np.exp(2j * np.pi * ((cycles * delay) % 1))
    at = frequency_hz * length / sample_rate_hz
    low = np.minimum(np.ceil(at / _HALF_BAND), np.floor(at) - _HALF_BINS)
    high = np.maximum(np.floor(at * _HALF_BAND), np.ceil(at) + _HALF_BINS)
    first = np.clip(low, 1, heard.size - 1).astype(np.int64)
    last = np.clip(high, 1, heard.size - 1).astype(np.int64) + 1
    found = [
        _fit(heard[a:b], sent[a:b], offset=(np.arange(a, b) - middle) / max(b - a, 1))
        for a, b, middle in zip(first, last, at, strict=True)
    ]
    ratio = np.array([one.ratio for one in found], dtype=np.complex128)
    return Transfer(
        frequency_hz=frequency_hz,
        ratio=ratio * np.exp(-2j * np.pi * frequency_hz * delay / sample_rate_hz),
        spread=np.array([one.spread for one in found]),
        coherence=np.array([one.coherence for one in found]),
    )


def _fit(heard: Complexes, sent: Complexes, *, offset: Floats) -> _Local:
    freedom = heard.size - _DEGREE - 1
    power = float(np.sum(np.square(np.abs(heard))))
    strength = float(np.sum(np.square(np.abs(sent))))
    if freedom < 1 or not strength:
        return _Local(ratio=complex(np.nan), spread=np.nan, coherence=np.nan)
    basis = sent * offset ** np.arange(_DEGREE + 1)[:, None] / np.sqrt(strength)
    gram = basis.conj() @ basis.T
    if np.linalg.cond(gram) > 1e12:  # all energy in one or two bins
        return _Local(ratio=complex(np.nan), spread=np.nan, coherence=np.nan)
    inverse = np.linalg.inv(gram)
    coefficients = inverse @ (basis.conj() @ heard)
    left = float(np.sum(np.square(np.abs(heard - coefficients @ basis))))
    variance = left / freedom * float(inverse[0, 0].real) / strength
    return _Local(
        ratio=complex(coefficients[0]) / np.sqrt(strength),
        spread=float(np.sqrt(variance / 2)),
        coherence=max(0.0, 1 - left / power) if power else 0.0,
    )


def _bulk_delay(heard: Complexes, sent: Complexes, length: int) -> int:
    power = np.square(np.abs(sent))
    summed = np.concatenate([[0.0], np.cumsum(power)])
    low = np.clip(np.arange(power.size) - _WHITENED_OVER, 0, power.size)
    high = np.clip(np.arange(power.size) + _WHITENED_OVER, 0, power.size)
    around = (summed[high] - summed[low]) / (high - low)
    # Bins that hold next to nothing of the signal must not shout.
    floor = 1e-6 * float(np.max(around)) or 1.0
    impulse = fft.irfft(heard * sent.conj() / (power + around + floor), length)
    peak = int(np.argmax(np.abs(impulse)))
    return peak if peak <= length // 2 else peak - length
