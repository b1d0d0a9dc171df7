"""Where a curve breaks a mask, the piece between them is exact."""

import numpy as np
import pytest

from app.desktop.plots.drawn import drawn
from app.desktop.plots.gap import Alike, Gap, alike, gaps
from app.desktop.plots.line import LineRole, PlotLine
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


def curve(x: Floats, y: Floats, *, valid: tuple[float, float] | None = None) -> Alike:
    return Alike(x=x, values=y[np.newaxis], valid=valid)


def triangle(*, sign: float = 1.0, valid: tuple[float, float] | None = None) -> Alike:
    # Rises from 0 to 10 and falls again, over two decades.
    return curve(np.array([1.0, 2.0, 3.0]), sign * np.array([0.0, 10.0, 0.0]), valid=valid)


def test_a_triangle_over_a_limit_leaves_a_smaller_triangle() -> None:
    # Similar triangles: height 10 - 6 = 4 of 10, base 0.4 · 2, so the area is 0.5 · 0.8 · 4.
    (gap,) = gaps(triangle(), mask("upper", 6.0))
    assert gap.x[[0, -1]] == pytest.approx([1.6, 2.4])
    assert area(gap) == pytest.approx(1.6)


def test_a_lower_limit_is_broken_from_above_downwards() -> None:
    (gap,) = gaps(triangle(sign=-1), mask("lower", -6.0))
    assert area(gap) == pytest.approx(1.6)
    assert not list(gaps(triangle(), mask("lower", -6.0)))


def test_a_curve_that_only_touches_its_limit_leaves_nothing() -> None:
    assert not list(gaps(triangle(), mask("upper", 10.0)))


def test_outside_the_valid_range_a_mask_is_not_judged() -> None:
    (gap,) = gaps(triangle(valid=(2.0, 3.0)), mask("upper", 6.0))
    assert gap.x[[0, -1]] == pytest.approx([2.0, 2.4])
    assert not list(gaps(triangle(), mask("upper", 6.0), valid=(2.5, 3.0)))


def test_a_sharp_corner_between_two_points_of_a_curve_is_found() -> None:
    notch = PlotMask(
        name="level",
        sense="upper",
        hz=np.array([90.0, 100.0, 110.0]),
        values=np.array([5.0, -5.0, 5.0]),
    )
    (gap,) = gaps(curve(np.log10([50.0, 200.0]), np.zeros(2)), notch)
    assert 10 ** gap.x[0] > 90
    assert 10 ** gap.x[-1] < 110


def test_a_curve_out_and_in_and_out_again_is_beyond_in_both_places() -> None:
    # Above 1/2 a sine is from 1/12 to 5/12 of each turn: the area is (√3 - π/3) / 2π of a turn.
    x = np.linspace(1, 3, 4001)
    (gap,) = gaps(curve(x, np.sin(2 * np.pi * (x - 1))), mask("upper", 0.5))
    assert area(gap) == pytest.approx(2 * (3**0.5 - np.pi / 3) / (2 * np.pi), rel=1e-5)


def test_a_curve_with_a_hole_is_judged_on_either_side_of_it() -> None:
    x = np.linspace(1, 3, 41)
    y = np.where(np.abs(x - 2) < 0.21, np.nan, 1.0)
    found = list(gaps(curve(x, y), mask("upper", 0.5)))
    assert len(found) == 2
    # The last points beside the hole lie 0.25 from its middle.
    assert sum(area(gap) for gap in found) == pytest.approx(0.5 * (2 - 2 * 0.25))


def test_beyond_the_ends_of_a_mask_nothing_is_judged() -> None:
    short = PlotMask(
        name="level", sense="upper", hz=np.array([50.0, 60.0]), values=np.array([0.0, 0.0])
    )
    (gap,) = gaps(triangle(), short)
    assert 10 ** gap.x[[0, -1]] == pytest.approx([50, 60])


def lines(count: int, *, points: int) -> list[PlotLine]:
    random = np.random.default_rng(5)
    hz = np.geomspace(20, 20_000, points)
    turns = random.uniform(1, 9, count)
    return [
        PlotLine(name=str(n), x=hz, y=2 * np.sin(t * np.log(hz)), role=LineRole.OVERLAY)
        for n, t in enumerate(turns)
    ]


def test_many_curves_cover_what_the_outermost_of_them_covers() -> None:
    made = [drawn(line, right_unit="") for line in lines(8, points=400)]
    limit = PlotMask(
        name="level", sense="upper", hz=np.array([100.0, 3000.0]), values=np.array([1.0, 1.5])
    )
    (together,) = alike(made)
    covered = sum(area(gap) for gap in gaps(together, limit))
    # The same by brute force, on a hundred times as many places.
    x = np.linspace(2, np.log10(3000), 40_000)
    outermost = np.max([np.interp(x, curve.x, curve.y) for curve in made], axis=0)
    beyond = np.maximum(outermost - np.interp(x, np.log10(limit.hz), limit.values), 0)
    assert covered == pytest.approx(float(np.trapezoid(beyond, x)), rel=1e-3)


def test_curves_on_other_points_are_looked_at_apart() -> None:
    made = [drawn(line, right_unit="") for line in (*lines(3, points=40), *lines(2, points=50))]
    assert [group.values.shape for group in alike(made)] == [(3, 40), (2, 50)]
