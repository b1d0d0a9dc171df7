"""Where a curve breaks a mask, the piece between them is exact."""

import numpy as np
import pytest

from app.desktop.plots.gap import Gap, gaps
from app.desktop.plots.mask import PlotMask
from dsp.arrays import Floats

EVERYWHERE = np.array([])


def mask(sense: str, value: float) -> PlotMask:
    assert sense in {"upper", "lower"}
    return PlotMask(
        name="level",
        sense="upper" if sense == "upper" else "lower",
        hz=EVERYWHERE,
        values=np.array([value]),
    )


def area(gap: Gap) -> float:
    return float(np.trapezoid(np.abs(gap.curve - gap.limit), gap.x))


def triangle() -> tuple[Floats, Floats]:
    # Rises from 0 to 10 and falls again, over two decades.
    return np.array([1.0, 2.0, 3.0]), np.array([0.0, 10.0, 0.0])


def test_a_triangle_over_a_limit_leaves_a_smaller_triangle() -> None:
    # Similar triangles: height 10 - 6 = 4 of 10, base 0.4 of 2, so the area is 0.5 · 0.8 · 4.
    (gap,) = gaps(*triangle(), mask("upper", 6.0), valid=None)
    assert gap.x[[0, -1]] == pytest.approx([1.6, 2.4])
    assert area(gap) == pytest.approx(1.6)


def test_a_lower_limit_is_broken_from_above_downwards() -> None:
    x, y = triangle()
    (gap,) = gaps(x, -y, mask("lower", -6.0), valid=None)
    assert area(gap) == pytest.approx(1.6)
    assert not list(gaps(x, y, mask("lower", -6.0), valid=None))


def test_a_curve_that_only_touches_its_limit_leaves_nothing() -> None:
    assert not list(gaps(*triangle(), mask("upper", 10.0), valid=None))


def test_outside_the_valid_range_a_mask_is_not_judged() -> None:
    (gap,) = gaps(*triangle(), mask("upper", 6.0), valid=(2.0, 3.0))
    assert gap.x[[0, -1]] == pytest.approx([2.0, 2.4])
    assert not list(gaps(*triangle(), mask("upper", 6.0), valid=(2.5, 3.0)))


def test_a_sharp_corner_between_two_points_of_a_curve_is_found() -> None:
    notch = PlotMask(
        name="level",
        sense="upper",
        hz=np.array([90.0, 100.0, 110.0]),
        values=np.array([5.0, -5.0, 5.0]),
    )
    (gap,) = gaps(np.log10([50.0, 200.0]), np.zeros(2), notch, valid=None)
    assert 10 ** gap.x[0] > 90
    assert 10 ** gap.x[-1] < 110


def test_a_curve_out_and_in_and_out_again_leaves_two_pieces() -> None:
    x = np.linspace(1, 3, 401)
    y = np.sin(2 * np.pi * (x - 1))
    assert len(list(gaps(x, y, mask("upper", 0.5), valid=None))) == 2


def test_a_curve_with_a_hole_is_judged_on_either_side_of_it() -> None:
    x = np.linspace(1, 3, 41)
    y = np.where(np.abs(x - 2) < 0.2, np.nan, 1.0)
    assert len(list(gaps(x, y, mask("upper", 0.5), valid=None))) == 2
