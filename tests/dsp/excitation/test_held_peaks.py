import numpy as np
import pytest

from dsp import DspError
from dsp.excitation.crest import crest_db
from dsp.excitation.held_peaks import held_peaks


def test_peaks_come_down_and_every_magnitude_stays() -> None:
    rng = np.random.default_rng(3)
    magnitude = np.concatenate([[0.0], rng.rayleigh(size=1999), [0.0]])
    phase = rng.uniform(-np.pi, np.pi, 2001)
    got = held_peaks(magnitude, phase, samples=4000, goal_db=8.0)
    assert crest_db(got) <= 8.0
    np.testing.assert_allclose(np.abs(np.fft.rfft(got)), magnitude, rtol=0, atol=1e-12)


def test_what_is_low_enough_is_left_alone() -> None:
    magnitude, phase = np.zeros(51), np.zeros(51)
    magnitude[3] = 50.0
    got = held_peaks(magnitude, phase, samples=100, goal_db=6.0)
    np.testing.assert_allclose(got, np.cos(2 * np.pi * 3 * np.arange(100) / 100), atol=1e-12)


def test_a_spectrum_of_another_length_is_refused() -> None:
    with pytest.raises(DspError, match="shapes differ"):
        held_peaks(np.ones(50), np.zeros(50), samples=100, goal_db=6.0)
