"""A mask on the screen is the mask that judges."""

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from app.desktop.plots.mask import PlotMask
from dsp.conformity.mask import MaskLines

POINTS = ((100.0, 3.0), (1000.0, 5.0), (8000.0, -2.0))


def plot_mask() -> PlotMask:
    hz, values = np.array(POINTS).T
    return PlotMask(name="level", sense="upper", hz=hz, values=values)


def test_between_its_points_it_is_where_the_judge_sees_it() -> None:
    hz = np.geomspace(100, 8000, 57)
    judged = MaskLines(upper=POINTS).upper_at(hz)
    np.testing.assert_allclose(plot_mask().at(hz), judged, rtol=0, atol=1e-12)


def test_beyond_its_ends_there_is_no_limit() -> None:
    assert np.isnan(plot_mask().at(np.array([99.0, 8001.0]))).all()


@given(index=st.integers(0, 2), hz=st.floats(20, 20_000), value=st.floats(-50, 50))
def test_a_point_never_passes_its_neighbours(index: int, hz: float, value: float) -> None:
    moved = plot_mask().moved(index, hz=hz, value=value)
    assert np.all(np.diff(moved.hz) > 0)
    assert moved.values[index] == value
    assert moved.chosen == index


def test_a_single_value_moves_as_a_whole() -> None:
    flat = PlotMask(name="thd", sense="upper", hz=np.array([]), values=np.array([-40.0]))
    assert flat.moved(0, hz=500, value=-42).at(np.array([20.0, 20_000.0])).tolist() == [-42, -42]


def test_points_without_their_values_are_refused() -> None:
    with pytest.raises(ValueError, match=r"mask level: shapes differ: given \(2,\), \(1,\)"):
        PlotMask(name="level", sense="upper", hz=np.array([1.0, 2.0]), values=np.array([1.0]))
