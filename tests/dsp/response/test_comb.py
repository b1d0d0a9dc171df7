"""The comb against long transforms of the same signal."""

import numpy as np
import pytest
from scipy import fft

from dsp.response.comb import comb

# Teeth odd and even, one alone, and rows that are no multiple of what is computed at once.
SIZES = [(76_800, 480, 3310), (450, 7, 9), (500, 20, 30), (96, 40, 50)]
EXACT = 2e-6  # single precision, of the largest


@pytest.mark.parametrize(("size", "before", "after"), SIZES)
def test_stretch_is_what_the_long_transform_has_there(size: int, before: int, after: int) -> None:
    signal = np.random.default_rng(1).standard_normal(size)
    layout = comb(size, before=before, after=after)
    rows = layout.earlier(layout.laid_out(fft.rfft(signal)), samples=11)
    near = np.arange(-before, after)
    np.testing.assert_allclose(layout.stretch(rows)[near], signal[(near + 11) % size], atol=5e-6)


@pytest.mark.parametrize(("size", "before", "after"), SIZES)
def test_spectrum_of_a_stretch_is_that_of_the_long_transform(
    size: int, before: int, after: int
) -> None:
    layout = comb(size, before=before, after=after)
    near = np.arange(-before, after)
    short = np.zeros(size // layout.teeth, dtype=np.float32)
    short[near] = np.random.default_rng(2).standard_normal(near.size)
    placed = np.zeros(size)
    placed[near] = short[near]
    expected = fft.rfft(placed)
    found = layout.in_line(layout.spectrum(short))
    np.testing.assert_allclose(found, expected, atol=EXACT * np.max(np.abs(expected)))


@pytest.mark.parametrize(("size", "before", "after"), SIZES)
def test_lines_are_found_where_they_were_laid(size: int, before: int, after: int) -> None:
    spectrum = fft.rfft(np.random.default_rng(3).standard_normal(size))
    layout = comb(size, before=before, after=after)
    rows = layout.laid_out(spectrum)
    np.testing.assert_allclose(layout.in_line(rows), spectrum, rtol=EXACT)
    lines = np.array([0, 1, size // 3, size // 2])
    np.testing.assert_allclose(np.abs(rows[layout.places(lines)]), np.abs(spectrum[lines]), 1e-6)
