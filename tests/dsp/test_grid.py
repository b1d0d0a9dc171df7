import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from dsp import DspError
from dsp.grid import log_grid


@given(low=st.floats(1, 900), high=st.floats(1100, 4e4), per_octave=st.integers(1, 96))
def test_a_grid_rises_from_end_to_end_through_1_khz_in_even_steps(
    low: float, high: float, per_octave: int
) -> None:
    grid = log_grid(low_hz=low, high_hz=high, per_octave=per_octave)
    assert (grid[0], grid[-1]) == (low, high)
    assert np.min(np.abs(grid / 1000 - 1)) < 1e-12
    steps = np.diff(np.log10(grid)) * per_octave / 0.3
    np.testing.assert_allclose(steps[1:-1], 1, rtol=1e-6)
    assert np.all((steps[[0, -1]] > 0.009) & (steps[[0, -1]] < 1.011))


def test_ends_that_are_exact_frequencies_stand_once() -> None:
    grid = log_grid(low_hz=100, high_hz=1000 * 10**0.3, per_octave=3)  # IEC 61260-1:2014, 5.4
    np.testing.assert_allclose(grid, 1000 * 10 ** (np.arange(-10, 4) / 10), rtol=1e-12)


@pytest.mark.parametrize(("low", "high", "per_octave"), [(20, 20, 3), (-1, 20, 3), (20, 40, 0)])
def test_a_span_without_points_is_refused(low: float, high: float, per_octave: int) -> None:
    with pytest.raises(DspError, match="log_grid: "):
        log_grid(low_hz=low, high_hz=high, per_octave=per_octave)
