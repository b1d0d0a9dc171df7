"""Phases that let many equal sines share one period without piling up."""

import numpy as np
from scipy import fft

from dsp.arrays import Floats, Ints
from dsp.excitation.crest import crest_db

_ROUNDS = 80
_NORMS = (4.0, 20.0)  # half the order of the mean that is brought down, first and last
_FIRST_TURN_RAD = 0.3
_INERTIA = 0.8


def low_crest(lines: Ints, *, period: int, phase_rad: Floats) -> Floats:
    """Turn the phases of equal sines until their sum has low peaks.

    Follows the gradient of a mean of high order, which grows from 8 to 40 and so comes ever nearer
    to the peak itself.

    Parameters
    ----------
    lines : (m,) array of int
        Bins of the period, above 0, below half of it.
    period : int
        Samples.
    phase_rad : (m,) array
        rad, cosine phases to start from.

    Returns
    -------
    (period,) array, rms 1: the lowest crest factor found.

    References
    ----------
    P. Guillaume, J. Schoukens, R. Pintelon, I. Kollár, "Crest-factor minimization using nonlinear
    Chebyshev approximation methods", IEEE Trans. Instrum. Meas. 40 (1991) 982.
    """
    phase, pull = phase_rad.copy(), np.zeros(lines.size)
    spectrum = np.zeros(period // 2 + 1, dtype=np.complex128)
    best, lowest = np.zeros(period), np.inf
    for done in range(_ROUNDS):
        left = 1 - done / _ROUNDS
        turned = np.exp(1j * phase)
        spectrum[lines] = turned * (period / np.sqrt(2 * lines.size))
        wave = fft.irfft(spectrum, period)
        if (crest := crest_db(wave)) < lowest:
            best, lowest = wave, crest
        norm = _NORMS[0] * (_NORMS[1] / _NORMS[0]) ** (1 - left)
        scaled = wave / np.max(np.abs(wave))
        push = fft.rfft(np.sign(scaled) * np.abs(scaled) ** (2 * norm - 1))[lines]
        slope = np.imag(push * np.conj(turned))
        size = np.sqrt(np.mean(np.square(slope)))
        pull = _INERTIA * pull + (1 - _INERTIA) * slope / (size or 1.0)
        phase -= _FIRST_TURN_RAD * left * pull
    return best
