"""Noise of microphone, room and converters, from a generator that repeats it."""

import math

import numpy as np
import scipy.fft

from dsp import Complexes, Floats

_LOW_HZ = 20.0
REFERENCE_PA = 20e-6  # ISO 1683


def noise_spectrum(
    level_db_spl: float,
    *,
    samples: int,
    sample_rate_hz: float,
    pink: bool,
    rng: np.random.Generator,
) -> Complexes:
    """Draw noise of a stated level from 20 Hz to half the sample rate.

    Parameters
    ----------
    level_db_spl : float
        dB re 20 µPa, rms of the whole band, as an expectation.
    samples : int
        Length of the signal whose spectrum this is.
    sample_rate_hz : float
        Hz.
    pink : bool
        True: the power falls by 3 dB an octave; False: white.
    rng : Generator
        Where it comes from.

    Returns
    -------
    (samples // 2 + 1,) complex array for ``irfft``, Pa.
    """
    hz = scipy.fft.rfftfreq(samples, 1 / sample_rate_hz)
    inside = hz >= _LOW_HZ
    power = np.zeros(hz.size)
    power[inside] = 1 / hz[inside] if pink else 1.0
    rms = REFERENCE_PA * 10 ** (level_db_spl / 20)
    # A line of variance s^2 in either part contributes 4 s^2 / samples^2 to the mean square.
    size = rms * samples * np.sqrt(power / (4 * max(float(np.sum(power)), 1e-300)))
    parts = rng.standard_normal((2, hz.size))
    spectrum: Complexes = size * (parts[0] + 1j * parts[1])
    return spectrum


def converter_noise(
    level_dbfs: float, *, shape: tuple[int, int], rng: np.random.Generator
) -> Floats:
    """Draw the white noise of every input.

    Parameters
    ----------
    level_dbfs : float
        dB re a full-scale sine, rms.
    shape : (int, int)
        Samples and channels.
    rng : Generator
        Where it comes from.

    Returns
    -------
    (samples, channels) array, full-scale units.
    """
    noise: Floats = rng.standard_normal(shape)
    noise *= math.sqrt(0.5) * 10 ** (level_dbfs / 20)
    return noise
