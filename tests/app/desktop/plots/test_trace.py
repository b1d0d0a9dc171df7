"""A curve on the screen: peaks survive, points don't pile up, nothing leaves the frame."""

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from app.desktop.plots.frame import Frame, Span
from app.desktop.plots.trace import inside, trace

FRAME = Frame(
    left=44, top=6, width=620, height=200, x=Span(low=1.3, high=4.3), y=Span(low=0, high=100)
)


def test_pixels_and_values_are_there_and_back_the_same() -> None:
    assert FRAME.x_at(FRAME.px_of(2.7)) == pytest.approx(2.7)
    assert FRAME.y_at(FRAME.py_of(33.0)) == pytest.approx(33.0)


def test_a_peak_of_one_sample_among_many_is_still_drawn() -> None:
    x = np.linspace(1.3, 4.3, 200_000)
    y = np.full(x.size, 20.0)
    y[123_457] = 90.0
    drawn = trace(FRAME, x, y)
    assert np.nanmin(drawn.y) == pytest.approx(FRAME.py_of(90.0))
    assert drawn.x[np.nanargmin(drawn.y)] == pytest.approx(FRAME.px_of(x[123_457]), abs=1.0)


def test_there_are_never_more_than_four_points_a_pixel() -> None:
    x = np.linspace(1.3, 4.3, 200_000)
    drawn = trace(FRAME, x, 50 + 10 * np.sin(900 * x))
    assert drawn.x.size <= 4 * (FRAME.width + 1)


def test_few_points_stay_as_they_are() -> None:
    x, y = np.array([2.0, 2.5, 3.0]), np.array([10.0, 90.0, 40.0])
    drawn = trace(FRAME, x, y)
    np.testing.assert_allclose(drawn.x, FRAME.px(x))
    np.testing.assert_allclose(drawn.y, FRAME.py(y))


def test_a_curve_is_cut_where_it_leaves_the_frame() -> None:
    # A straight line from -100 to 200 over one decade leaves 0…100 after a third of it each.
    drawn = trace(FRAME, np.array([2.0, 3.0]), np.array([-100.0, 200.0]))
    good = np.isfinite(drawn.y)
    np.testing.assert_allclose(drawn.y[good], [FRAME.bottom, FRAME.top])
    np.testing.assert_allclose(drawn.x[good], FRAME.px(np.array([2 + 1 / 3, 2 + 2 / 3])))


def test_zoomed_in_a_curve_runs_on_to_the_edges() -> None:
    near = Frame(left=0, top=0, width=100, height=100, x=Span(low=2.4, high=2.6), y=FRAME.y)
    drawn = trace(near, np.array([2.0, 3.0]), np.array([0.0, 100.0]))
    good = np.isfinite(drawn.x)
    np.testing.assert_allclose(drawn.x[good], [0, 100])
    np.testing.assert_allclose(drawn.y[good], [60, 40])


def test_what_is_missing_parts_the_curve() -> None:
    x = np.array([2.0, 2.2, 2.4, 2.6])
    drawn = trace(FRAME, x, np.array([10.0, np.nan, 30.0, 40.0]))
    assert np.isnan(drawn.y).tolist() == [False, True, False, False]


@given(
    values=st.lists(st.floats(-500, 500), min_size=2, max_size=40),
    seed=st.integers(0, 1000),
)
def test_nothing_is_ever_drawn_outside(values: list[float], seed: int) -> None:
    x = np.sort(np.random.default_rng(seed).uniform(-100, 900, len(values)))
    drawn = inside(x, np.array(values), frame=FRAME)
    good = np.isfinite(drawn.x) & np.isfinite(drawn.y)
    assert np.all(drawn.x[good] >= FRAME.left - 1e-3)
    assert np.all(drawn.x[good] <= FRAME.right_edge + 1e-3)
    assert np.all(drawn.y[good] >= FRAME.top - 1e-3)
    assert np.all(drawn.y[good] <= FRAME.bottom + 1e-3)
