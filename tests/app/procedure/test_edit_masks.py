"""Editing a mask: what it gives is always a mask, and what it refuses it says in figures."""

import numpy as np
import pytest
from hypothesis import assume, given
from hypothesis import strategies as st

from app.procedure.drag import dragged
from app.procedure.edit_masks import (
    EditRefusedError,
    Side,
    add_point,
    limit_at,
    move_point,
    offset,
    points_of,
    remove_point,
    set_guard,
    set_value,
    snapped,
)
from app.procedure.mask_schema import Mask
from app.procedure.propose import propose
from app.procedure.reach import reachable
from dsp.conformity.mask import MaskLines
from dsp.statistics.tolerance import Interval

MASK = Mask(
    quantity="level",
    upper=((100.0, 3.0), (1000.0, 3.0), (10_000.0, 5.0)),
    lower=((100.0, -3.0), (500.0, -2.0), (10_000.0, -4.0)),
)
NUMBER = Mask(quantity="sensitivity_db", upper=87.0, lower=85.0)


def test_a_new_point_lies_on_the_limit_as_it_runs() -> None:
    # Straight over log f: half way between 1 kHz and 10 kHz.
    mask = add_point(MASK, side="upper", hz=float(np.sqrt(1e7)))
    assert mask.upper[2] == pytest.approx((np.sqrt(1e7), 4.0))  # type: ignore[index]
    assert limit_at(mask, side="upper", hz=2000.0) == pytest.approx(
        limit_at(MASK, side="upper", hz=2000.0)
    )


def test_a_point_beyond_the_end_is_level_with_it() -> None:
    assert add_point(MASK, side="upper", hz=50.0).upper[0] == (50.0, 3.0)  # type: ignore[index]


@pytest.mark.parametrize(
    ("hz", "said"),
    [
        (100.0, "not above the point before: given 100, allowed above 100 Hz"),
        (10_000.0, "not below the point after: given 10000, allowed below 10000 Hz"),
        (0.5, "outside: given 0.5, allowed 1 to 100000 Hz"),
    ],
)
def test_a_point_stays_between_its_neighbours(hz: float, said: str) -> None:
    with pytest.raises(EditRefusedError) as refused:
        move_point(MASK, side="upper", index=1, hz=hz, value=3.0)
    assert str(refused.value) == said
    assert refused.value.key == "at"


def test_limits_never_cross() -> None:
    with pytest.raises(EditRefusedError, match="lower limit above the upper at 100 Hz") as refused:
        move_point(MASK, side="upper", index=0, hz=100.0, value=-8.0)
    assert refused.value.key == "limit"


def test_two_points_never_share_a_frequency() -> None:
    with pytest.raises(EditRefusedError, match="has a point there: given 1000 Hz"):
        add_point(MASK, side="upper", hz=1000.0)


def test_a_limit_goes_with_its_last_point_but_the_only_limit_stays() -> None:
    mask = Mask(quantity="level", upper=((100.0, 3.0),), lower=((100.0, -3.0),))
    upper_gone = remove_point(mask, side="upper", index=0)
    assert upper_gone.upper is None
    with pytest.raises(EditRefusedError, match="only limit"):
        remove_point(upper_gone, side="lower", index=0)


def test_single_limits_are_set_and_refused() -> None:
    assert set_value(NUMBER, side="upper", value=88.5).upper == 88.5
    with pytest.raises(EditRefusedError, match="lower limit above the upper"):
        set_value(NUMBER, side="upper", value=84.0)
    with pytest.raises(EditRefusedError, match="only limit"):
        set_value(set_value(NUMBER, side="upper", value=None), side="lower", value=None)
    with pytest.raises(EditRefusedError, match="one value for all"):
        add_point(NUMBER, side="upper", hz=100.0)


def test_a_mask_moves_as_a_whole_and_stays_typeable() -> None:
    moved = offset(MASK, upper_by=0.1, lower_by=-0.1)
    assert moved.upper == ((100.0, 3.1), (1000.0, 3.1), (10_000.0, 5.1))
    assert moved.lower == ((100.0, -3.1), (500.0, -2.1), (10_000.0, -4.1))
    assert offset(NUMBER, upper_by=0.1, lower_by=0.1).upper == 87.1


def test_a_guard_band_has_its_range() -> None:
    assert set_guard(MASK, 1.0).guard == 1.0
    with pytest.raises(EditRefusedError, match=r"given 2\.5, allowed 0 to 2") as refused:
        set_guard(MASK, 2.5)
    assert refused.value.key == "guard"


@pytest.mark.parametrize(
    ("hz", "series", "found"),
    # ISO 3:1973, table 1: neighbours in R10 are 630, 800; in R40 670, 710; in R80 690, 710.
    [(695.0, 10, 630.0), (695.0, 40, 710.0), (699.0, 80, 690.0), (695.0, None, 695.0)],
)
def test_frequencies_snap_to_preferred_ones(hz: float, series: int | None, found: float) -> None:
    assert snapped(hz, series=series) == found


@given(
    st.sampled_from(["upper", "lower"]),
    st.integers(0, 2),
    st.floats(1, 1e5),
    st.floats(-30, 30),
)
def test_a_dragged_point_ends_where_it_may_be(
    side: Side, index: int, hz: float, value: float
) -> None:
    to = reachable(MASK, side=side, index=index, to=(hz, value))
    nudged = to[1] + (1e-9 if side == "upper" else -1e-9)
    moved = move_point(MASK, side=side, index=index, hz=to[0], value=nudged)
    assert isinstance(moved, Mask)


@given(st.sampled_from(["upper", "lower"]), st.integers(0, 2), st.floats(0, 1), st.floats(-30, 30))
def test_a_place_that_is_allowed_is_not_changed(
    side: Side, index: int, share: float, value: float
) -> None:
    points = MASK.upper if side == "upper" else MASK.lower
    assert isinstance(points, tuple)
    low = points[index - 1][0] * 2 ** (1 / 90) if index else 1.0
    high = points[index + 1][0] / 2 ** (1 / 90) if index < 2 else 1e5
    hz = low * (high / low) ** share
    try:
        move_point(MASK, side=side, index=index, hz=hz, value=value)
    except EditRefusedError:
        assume(False)
    assert reachable(MASK, side=side, index=index, to=(hz, value)) == pytest.approx((hz, value))


@given(st.integers(0, 2**32 - 1), st.sampled_from([5, 10, 20, 40]))
def test_proposed_limits_hold_what_they_follow(seed: int, series: int) -> None:
    hz = np.geomspace(20, 20_000, 241)
    middle = np.cumsum(np.random.default_rng(seed).normal(size=hz.size)) / 5
    limits = Interval(lower=middle - 2, upper=middle + 2)
    mask = propose(
        MASK, frequency_hz=hz, limits=limits, series=series, span_hz=(50.0, 15_000.0), step=0.1
    )
    lines = MaskLines(upper=mask.upper, lower=mask.lower)
    inside = np.isfinite(lines.upper_at(hz))
    assert hz[inside][0] < 52
    assert hz[inside][-1] > 14_000
    assert np.all(lines.upper_at(hz)[inside] >= limits.upper[inside] - 1e-9)
    assert np.all(lines.lower_at(hz)[inside] <= limits.lower[inside] + 1e-9)


def test_a_flat_curve_gets_limits_at_just_its_distance() -> None:
    hz = np.geomspace(20, 20_000, 241)
    flat = Interval(lower=np.full(241, -2.0), upper=np.full(241, 2.0))
    upper_only = Mask(quantity="level", upper=((100.0, 3.0), (1000.0, 3.0)))
    mask = propose(
        upper_only, frequency_hz=hz, limits=flat, series=10, span_hz=(100.0, 1000.0), step=0.1
    )
    assert mask.lower is None
    assert isinstance(mask.upper, tuple)
    assert [point[1] for point in mask.upper] == [2.0] * 11  # R10: 100 to 1000 Hz are 11 points


def test_nothing_is_proposed_from_nothing() -> None:
    hz = np.geomspace(20, 20_000, 10)
    unknown = Interval(lower=np.full(10, np.nan), upper=np.full(10, np.nan))
    with pytest.raises(EditRefusedError, match="nothing is known"):
        propose(MASK, frequency_hz=hz, limits=unknown, series=10, span_hz=(20.0, 2e4), step=0.1)


@pytest.mark.parametrize(
    ("to", "lands"),
    [
        ((1005.0, 4.234), (1000.0, 4.2)),  # up: the frequency sticks, the limit is rounded
        ((1300.0, 3.1), (1320.0, 3.1)),  # ISO 3, R40: 1250, 1320
        ((1029.3, 3.0), (1060.0, 3.0)),  # an arrow of 1/24 octave goes to the next of R40
        ((971.5, 3.0), (950.0, 3.0)),
        ((1000.0, 3.02), (1000.0, 3.1)),  # an arrow of less than a step is a step
        ((20_000.0, 3.1), (9500.0, 3.1)),  # stopped below the neighbour at 10 kHz
        ((1000.0, -9.0), (1000.0, -2.4)),  # stopped by the lower limit, rounded away from it
    ],
)
def test_a_moved_point_lands_where_one_would_type_it(
    to: tuple[float, float], lands: tuple[float, float]
) -> None:
    moved = dragged(MASK, side="upper", index=1, to=to, series=40, step=0.1)
    assert points_of(moved, side="upper")[1] == lands


@given(
    st.sampled_from(["upper", "lower"]),
    st.integers(0, 2),
    st.floats(1, 1e5),
    st.floats(-30, 30),
    st.sampled_from([None, 10, 40, 80]),
)
def test_a_hand_never_makes_a_mask_that_is_none(
    side: Side, index: int, hz: float, value: float, series: int | None
) -> None:
    moved = dragged(MASK, side=side, index=index, to=(hz, value), series=series, step=0.1)
    assert isinstance(moved, Mask)
