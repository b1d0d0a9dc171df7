"""The rules of judging: what conforms, by how much, and what must be left undecided."""

import math

import pytest
from hypothesis import given
from hypothesis import strategies as st

from dsp import DspError, ValidRange
from dsp.conformity.judge import judge_curve
from dsp.conformity.mask import MaskLines
from dsp.conformity.verdict import Verdict
from tests.dsp.conformity.judged_curve import (
    CONFORMS,
    FAILS,
    GATED,
    OPEN,
    PLUS_MINUS_1,
    curve,
    levels,
)

# The margin


def test_the_margin_is_the_smallest_distance_and_tells_where() -> None:
    got = judge_curve(curve([0, 0.3, -0.75, 0.1, 0]), mask=PLUS_MINUS_1)
    assert got.verdict is CONFORMS
    assert got.margin == pytest.approx(0.25)
    assert got.nearest_hz == 400
    assert got.reason == ""


def test_outside_the_margin_is_negative() -> None:
    got = judge_curve(curve([0, 0.3, -0.75, 1.5, 0]), mask=PLUS_MINUS_1)
    assert (got.verdict, got.nearest_hz) == (FAILS, 800)
    assert got.margin == pytest.approx(-0.5)


def test_without_a_guard_band_a_value_on_the_limit_conforms() -> None:
    assert judge_curve(curve([0, 0, 1, 0, 0]), mask=PLUS_MINUS_1).verdict is CONFORMS


def test_a_point_outside_the_mask_s_span_is_not_judged() -> None:
    mask = MaskLines(upper=((200.0, 1.0), (800.0, 1.0)))
    assert judge_curve(curve([9, 0, 0, 0, 9]), mask=mask).margin == pytest.approx(1)


def test_a_notch_of_the_mask_between_two_points_of_the_curve_is_seen() -> None:
    mask = MaskLines(upper=((100.0, 5.0), (283.0, -1.0), (1600.0, 5.0)))
    got = judge_curve(curve([0, 0, 0, 0, 0]), mask=mask)
    assert (got.verdict, got.nearest_hz) == (FAILS, 283)
    assert got.margin == pytest.approx(-1)


def test_the_curve_runs_straight_over_log_f_between_its_points() -> None:
    mask = MaskLines(upper=((math.sqrt(200.0 * 400.0), 5.0),))
    got = judge_curve(curve([0, 2, 4, 0, 0]), mask=mask)
    assert got.margin == pytest.approx(2)


@given(value=levels, tighten=st.floats(0, 5))
def test_a_tighter_mask_takes_its_tightening_off_the_margin(
    value: list[float], tighten: float
) -> None:
    wide = MaskLines(upper=((100.0, 9.0), (1600.0, 7.0)), lower=((100.0, -9.0), (1600.0, -7.0)))
    tight = MaskLines(
        upper=((100.0, 9.0 - tighten), (1600.0, 7.0 - tighten)),
        lower=((100.0, -9.0 + tighten), (1600.0, -7.0 + tighten)),
    )
    a, b = (judge_curve(curve(value), mask=mask) for mask in (wide, tight))
    assert b.margin == pytest.approx(a.margin - tighten, abs=1e-9)


@given(value=levels, guard=st.floats(0, 2))
def test_a_curve_and_a_mask_turned_upside_down_are_judged_alike(
    value: list[float], guard: float
) -> None:
    mask = MaskLines(upper=((100.0, 9.0), (1600.0, 4.0)), lower=((100.0, -3.0), (1600.0, -8.0)))
    turned = MaskLines(upper=((100.0, 3.0), (1600.0, 8.0)), lower=((100.0, -9.0), (1600.0, -4.0)))
    a = judge_curve(curve(value, uncertainty=0.7), mask=mask, guard=guard)
    b = judge_curve(curve([-x for x in value], uncertainty=0.7), mask=turned, guard=guard)
    assert a.verdict is b.verdict
    assert a.margin == pytest.approx(b.margin, abs=1e-12)


@given(value=levels, scale=st.floats(0.01, 100), guard=st.floats(0, 2))
def test_a_change_of_unit_scales_the_margin_and_keeps_the_verdict(
    value: list[float], scale: float, guard: float
) -> None:
    a = judge_curve(
        curve(value, uncertainty=0.25), mask=MaskLines(upper=8.0, lower=-8.0), guard=guard
    )
    b = judge_curve(
        curve([x * scale for x in value], uncertainty=0.25 * scale),
        mask=MaskLines(upper=8.0 * scale, lower=-8.0 * scale),
        guard=guard,
    )
    assert b.margin == pytest.approx(a.margin * scale, rel=1e-9, abs=1e-9)
    if min(abs(a.margin), abs(abs(a.margin) - guard * 0.25)) > 1e-9:
        assert a.verdict is b.verdict


@given(value=levels)
def test_two_one_sided_masks_say_together_what_the_two_sided_one_says(value: list[float]) -> None:
    line = ((100.0, 6.0), (1600.0, 3.0))
    under = tuple((hz, -x) for hz, x in line)
    both = judge_curve(curve(value), mask=MaskLines(upper=line, lower=under))
    one = judge_curve(curve(value), mask=MaskLines(upper=line))
    other = judge_curve(curve(value), mask=MaskLines(lower=under))
    assert both.margin == pytest.approx(min(one.margin, other.margin))


# The guard band (JCGM 106:2012, clause 8)


@pytest.mark.parametrize(
    ("top", "verdict"),
    [(0.69, CONFORMS), (0.71, OPEN), (1.0, OPEN), (1.29, OPEN), (1.31, FAILS)],
)
def test_within_the_guard_band_of_a_limit_nothing_is_decided(top: float, verdict: Verdict) -> None:
    got = judge_curve(curve([0, 0, top, 0, 0], uncertainty=0.3), mask=PLUS_MINUS_1, guard=1.0)
    assert got.verdict is verdict
    assert got.margin == pytest.approx(1 - top)
    assert got.reason == ("within the guard band at 400 Hz" if verdict is OPEN else "")


def test_the_worst_point_s_own_uncertainty_decides() -> None:
    # The smallest margin is sure; a larger one elsewhere is not.
    got = judge_curve(
        curve([0.5, 0, 0.2, 0, 0], uncertainty=[0.1, 0.1, 0.9, 0.1, 0.1]),
        mask=PLUS_MINUS_1,
        guard=1.0,
    )
    assert (got.verdict, got.nearest_hz) == (OPEN, 100)
    assert got.reason == "within the guard band at 400 Hz"


def test_a_zone_narrower_than_two_guard_bands_lets_nothing_conform() -> None:
    got = judge_curve(curve([0, 0, 0, 0, 0], uncertainty=1.2), mask=PLUS_MINUS_1, guard=1.0)
    assert got.verdict is OPEN
    assert got.reason == "mask narrower than two guard bands at 100 Hz"
    far = judge_curve(curve([0, 0, 9, 0, 0], uncertainty=1.2), mask=PLUS_MINUS_1, guard=1.0)
    assert far.verdict is FAILS


def test_a_guard_band_of_unknown_width_decides_nothing() -> None:
    got = judge_curve(curve([0, 0, 9, 0, 0]), mask=PLUS_MINUS_1, guard=0.5)
    assert got.verdict is OPEN
    assert got.reason == "uncertainty not known at 100 Hz"


def test_a_negative_guard_is_refused() -> None:
    with pytest.raises(DspError, match=r"judge_curve: guard outside: given -0\.1"):
        judge_curve(curve([0, 0, 0, 0, 0]), mask=PLUS_MINUS_1, guard=-0.1)


# What is not known


def test_a_mask_below_the_valid_range_is_not_decided_and_says_why() -> None:
    mask = MaskLines(upper=((50.0, 1.0), (1600.0, 1.0)))
    got = judge_curve(curve([0, 0, 0.5, 0, 0], valid=GATED), mask=mask, name="level")
    assert got.verdict is OPEN
    assert got.reason == "mask from 50 Hz, level valid from 210 Hz (gate)"
    assert got.margin == pytest.approx(0.5)


def test_what_fails_inside_the_valid_range_fails_whatever_lies_outside() -> None:
    mask = MaskLines(upper=((50.0, 1.0), (1600.0, 1.0)))
    got = judge_curve(curve([0, 0, 3, 0, 0], valid=GATED), mask=mask)
    assert (got.verdict, got.nearest_hz) == (FAILS, 400)


def test_what_fails_outside_the_valid_range_only_is_not_a_failure() -> None:
    mask = MaskLines(upper=((50.0, 1.0), (1600.0, 1.0)))
    assert judge_curve(curve([9, 9, 0, 0, 0], valid=GATED), mask=mask).verdict is OPEN


def test_a_mask_wholly_outside_has_no_margin() -> None:
    mask = MaskLines(upper=((30.0, 1.0), (150.0, 1.0)))
    got = judge_curve(curve([0, 0, 0, 0, 0], valid=GATED), mask=mask)
    assert got.verdict is OPEN
    assert math.isnan(got.margin)
    assert "valid from 210 Hz (gate)" in got.reason


def test_points_that_end_before_the_mask_are_named_as_the_end() -> None:
    mask = MaskLines(upper=((100.0, 1.0), (3000.0, 1.0)))
    got = judge_curve(curve([0, 0, 0, 0, 0]), mask=mask)
    assert got.reason == "mask to 3000 Hz, curve valid to 1600 Hz (last point)"


def test_a_single_limit_holds_over_the_valid_range_only() -> None:
    got = judge_curve(curve([9, 9, 0, 0, 0.5], valid=GATED), mask=MaskLines(upper=1.0))
    assert got.verdict is CONFORMS
    assert got.margin == pytest.approx(0.5)


def test_a_missing_value_is_not_decided_unless_another_point_fails() -> None:
    value = [0, math.nan, 0.5, 0, 0]
    got = judge_curve(curve(value), mask=PLUS_MINUS_1)
    assert (got.verdict, got.reason) == (OPEN, "no value at 200 Hz")
    assert got.margin == pytest.approx(0.5)
    value[4] = 7
    assert judge_curve(curve(value), mask=PLUS_MINUS_1).verdict is FAILS


def test_a_bound_below_the_upper_limit_is_inside_by_its_distance() -> None:
    mask = MaskLines(upper=((100.0, -40.0), (1600.0, -40.0)))
    value = [-60.0, -55, -70, -70, -70]
    got = judge_curve(curve(value, bounds=[1], unit="dB"), mask=mask)
    assert (got.verdict, got.nearest_hz) == (CONFORMS, 200)
    assert got.margin == pytest.approx(15)


def test_a_bound_above_the_upper_limit_decides_nothing() -> None:
    mask = MaskLines(upper=((100.0, -40.0), (1600.0, -40.0)))
    got = judge_curve(curve([-60, -30, -70, -70, -70], bounds=[1], unit="dB"), mask=mask)
    assert (got.verdict, got.reason) == (OPEN, "hidden by noise at 200 Hz")


def test_a_bound_says_nothing_about_a_lower_limit_unless_it_lies_below_it() -> None:
    mask = MaskLines(lower=((100.0, -40.0), (1600.0, -40.0)))
    above = judge_curve(curve([-20, -30, -20, -20, -20], bounds=[1], unit="dB"), mask=mask)
    assert (above.verdict, above.reason) == (OPEN, "hidden by noise at 200 Hz")
    below = judge_curve(curve([-20, -50, -20, -20, -20], bounds=[1], unit="dB"), mask=mask)
    assert below.verdict is FAILS
    assert below.margin == pytest.approx(-10)


def test_a_bound_holds_its_uncertainty_already() -> None:
    mask = MaskLines(upper=((100.0, -40.0), (1600.0, -40.0)))
    uncertainty = [0.1, math.nan, 0.1, 0.1, 0.1]
    got = judge_curve(
        curve([-60, -41, -70, -70, -70], bounds=[1], unit="dB", uncertainty=uncertainty),
        mask=mask,
        guard=1,
    )
    assert got.verdict is CONFORMS


def test_valid_nowhere_is_not_decided() -> None:
    nowhere = ValidRange(low_hz=500, high_hz=100, low_reason="noise")
    got = judge_curve(curve([0] * 5, valid=nowhere), mask=PLUS_MINUS_1, name="thd")
    assert (got.verdict, got.reason) == (OPEN, "thd valid nowhere (noise)")
