"""The next peak is one that a person sees, not the next ripple of noise."""

import numpy as np
from hypothesis import given
from hypothesis import strategies as st

from app.desktop.plots.extrema import extrema


def test_a_sine_has_a_peak_and_a_dip_a_turn() -> None:
    x = np.linspace(0, 2, 401)  # peaks at 1/4 and 5/4, dips at 3/4 and 7/4
    found = extrema(np.sin(2 * np.pi * x), least=0.1)
    np.testing.assert_allclose(x[found], [0.25, 0.75, 1.25, 1.75], atol=1e-9)


def test_noise_smaller_than_asked_for_is_passed_over() -> None:
    random = np.random.default_rng(1)
    x = np.linspace(0, 2, 401)
    y = np.sin(2 * np.pi * x) + random.uniform(-0.04, 0.04, x.size)
    found = extrema(y, least=0.1)
    np.testing.assert_allclose(x[found], [0.25, 0.75, 1.25, 1.75], atol=0.06)


def test_holes_are_passed_over() -> None:
    y = np.array([0.0, 1.0, np.nan, 3.0, np.nan, 0.0, np.nan])
    assert extrema(y, least=1.0).tolist() == [3]


def test_nothing_and_a_straight_line_have_none() -> None:
    assert not extrema(np.array([]), least=1.0).size
    assert not extrema(np.full(3, np.nan), least=1.0).size
    assert not extrema(np.arange(9.0), least=0.5).size


@given(st.lists(st.integers(-20, 20), max_size=60), st.integers(1, 5))
def test_peaks_and_dips_take_turns_and_lie_so_far_apart(values: list[int], least: int) -> None:
    y = np.array(values, dtype=np.float64)
    steps = np.diff(y[extrema(y, least=float(least))])
    assert np.all(np.abs(steps) >= least)
    assert np.all(steps[:-1] * steps[1:] < 0)
