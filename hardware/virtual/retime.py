"""A signal as a recorder with another clock would have taken it."""

import numpy as np
import scipy.fft

from dsp import Floats

_FINER = 4
_POINTS = 16
_CHUNK = 1 << 15


def on_other_clock(signal: Floats, *, ppm: float, samples: int) -> Floats:
    """Read a band-limited signal at the moments of a clock that runs fast or slow.

    Interpolated to four times the rate by its spectrum, then by a polynomial through 16 points
    (Lagrange): what is left at 20 kHz of 44.1 kHz is below 1e-7 of the signal.

    Parameters
    ----------
    signal : (m,) array
        Any unit; periodic, so leave silence at its end.
    ppm : float
        By how much the other clock is fast.
    samples : int
        How many to read; both clocks show zero at sample 0.

    Returns
    -------
    (samples,) array, same unit.
    """
    if ppm == 0:
        return signal[:samples]
    spectrum = scipy.fft.rfft(signal)
    fine = scipy.fft.irfft(spectrum, _FINER * signal.size) * _FINER
    fine = np.pad(fine, _POINTS, mode="wrap")
    out = np.empty(samples)
    for start in range(0, samples, _CHUNK):
        at = np.arange(start, min(start + _CHUNK, samples)) * (_FINER / (1 + ppm * 1e-6))
        first = np.floor(at).astype(np.int64)
        taps = _lagrange(at - first)
        reach = np.arange(_POINTS) + (1 - _POINTS // 2 + _POINTS)
        out[start : start + at.size] = np.sum(taps * fine[first[:, np.newaxis] + reach], axis=1)
    return out


def _lagrange(part: Floats) -> Floats:
    # Weights of the points around 0 to 1 for a place in between; (n, _POINTS).
    nodes = np.arange(_POINTS) - (_POINTS // 2 - 1)
    gaps = part[:, np.newaxis] - nodes
    weights = np.ones_like(gaps)
    for k in range(_POINTS):
        others = np.delete(np.arange(_POINTS), k)
        scale = np.prod(nodes[k] - nodes[others], dtype=np.float64)
        weights[:, k] = np.prod(gaps[:, others], axis=1) / scale
    return weights
