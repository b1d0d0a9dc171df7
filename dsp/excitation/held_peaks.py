"""Noise with its peaks brought down while every line of its spectrum keeps its magnitude."""

import numpy as np
from scipy import fft

from dsp.arrays import Floats
from dsp.errors import DspError
from dsp.excitation.crest import crest_db

_ROUNDS = 60


def held_peaks(magnitude: Floats, phase_rad: Floats, *, samples: int, goal_db: float) -> Floats:
    """Bring peaks down by phases alone: clip, keep the new phases, restore every magnitude.

    Parameters
    ----------
    magnitude, phase_rad : (samples // 2 + 1,) array
        One-sided spectrum of one period, any unit; rad to start from.
    samples : int
        Length of one period.
    goal_db : float
        dB; the first round that reaches this crest factor is the last of at most 60.

    Returns
    -------
    (samples,) array, one period: the lowest crest factor found.

    Raises
    ------
    DspError
        Arrays whose length does not belong to ``samples``.

    References
    ----------
    E. Van der Ouderaa, J. Schoukens, J. Renneboog, "Peak factor minimization using a
    time-frequency domain swapping algorithm", IEEE Trans. Instrum. Meas. 37 (1988) 145.
    """
    if magnitude.shape != phase_rad.shape or magnitude.size != samples // 2 + 1:
        shapes = (magnitude.shape, phase_rad.shape)
        raise DspError("held_peaks", "shapes differ", given=shapes, allowed=(samples // 2 + 1,))
    best: Floats = fft.irfft(magnitude * np.exp(1j * phase_rad), samples)
    wave, lowest = best, crest_db(best)
    for done in range(_ROUNDS):
        if lowest <= goal_db:
            break
        # Deep at first, so that phases travel; shallow at the end, where only spikes are left.
        share_db = 20 * np.log10(0.75 + 0.2 * done / _ROUNDS)
        limit_db = max(goal_db - 0.05, crest_db(wave) + share_db)
        limit = np.sqrt(np.mean(np.square(wave))) * 10 ** (limit_db / 20)
        turned = fft.rfft(np.clip(wave, -limit, limit))
        wave = fft.irfft(magnitude * np.exp(1j * np.angle(turned)), samples)
        if (crest := crest_db(wave)) < lowest:
            best, lowest = wave, crest
    return best
