"""The rules of judging: what conforms, by how much, and what must be left undecided."""

import math

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from dsp import Curve, DspError, Floats, Number, ValidRange
from dsp.conformity.judge import judge_curve, judge_number
from dsp.conformity.mask import MaskLines
from dsp.conformity.verdict import Verdict

CONFORMS, FAILS, OPEN = Verdict.CONFORMS, Verdict.DOES_NOT_CONFORM, Verdict.NOT_DECIDED
WHOLE = ValidRange(low_hz=20, high_hz=20_000)
HZ = np.array([100.0, 200.0, 400.0, 800.0, 1600.0])
PLUS_MINUS_1 = MaskLines(upper=((100.0, 1.0), (1600.0, 1.0)), lower=((100.0, -1.0), (1600.0, -1.0)))

levels = st.lists(st.floats(-20, 20), min_size=5, max_size=5)


def curve(
    value: list[float] | Floats,
    *,
    hz: Floats = HZ,
    uncertainty: float | list[float] | None = None,
    valid: ValidRange = WHOLE,
    bounds: list[int] | None = None,
    unit: str = "dB re 20 µPa",
) -> Curve:
    is_bound = None
    if bounds is not None:
        is_bound = np.zeros(hz.size, dtype=np.bool_)
        is_bound[bounds] = True
    return Curve(
        frequency_hz=hz,
        value=np.array(value, dtype=np.float64),
        unit=unit,
        valid=valid,
        uncertainty=None
        if uncertainty is None
        else np.full(hz.size, uncertainty, dtype=np.float64),
        is_bound=is_bound,
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


GATED = ValidRange(low_hz=210, high_hz=20_000, low_reason="gate")


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


# About a reference


REFERENCE = curve([80, 85, 90, 88, 86])


def test_a_relative_mask_is_about_the_reference_s_curve() -> None:
    got = judge_curve(curve([80.5, 85, 89.2, 88, 86]), mask=PLUS_MINUS_1, reference=REFERENCE)
    assert (got.verdict, got.nearest_hz) == (CONFORMS, 400)
    assert got.margin == pytest.approx(0.2)


def test_a_reference_on_other_frequencies_is_read_over_log_f() -> None:
    reference = curve([80, 84], hz=np.array([100.0, 1600.0]))
    got = judge_curve(curve([80, 81, 82, 83, 84]), mask=PLUS_MINUS_1, reference=reference)
    assert got.margin == pytest.approx(1)


def test_the_uncertainties_of_unit_and_reference_add_in_squares() -> None:
    reference = curve([80, 85, 90, 88, 86], uncertainty=0.4)
    for deviation, verdict in ((0.49, CONFORMS), (0.51, OPEN)):  # 1 - hypot(0.3, 0.4) = 0.5
        unit = curve([80, 85, 90 + deviation, 88, 86], uncertainty=0.3)
        got = judge_curve(unit, mask=PLUS_MINUS_1, reference=reference, guard=1)
        assert got.verdict is verdict


def test_where_the_reference_is_not_valid_nothing_is_decided() -> None:
    reference = curve([80, 85, 90, 88, 86], valid=GATED)
    got = judge_curve(REFERENCE, mask=PLUS_MINUS_1, reference=reference)
    assert got.verdict is OPEN
    assert got.reason == "mask from 100 Hz, curve valid from 210 Hz (gate of the reference)"


def test_a_reference_hidden_by_noise_leaves_a_pass_undecided_but_not_a_failure() -> None:
    reference = curve([-60, -60, -60, -60, -60], bounds=[2], unit="dB")
    mask = MaskLines(upper=6.0)
    quiet = curve([-60, -60, -70, -60, -60], unit="dB")
    loud = curve([-60, -60, -40, -60, -60], unit="dB")  # 20 dB or more above the reference
    assert judge_curve(quiet, mask=mask, reference=reference).verdict is OPEN
    assert judge_curve(loud, mask=mask, reference=reference).verdict is FAILS


def test_a_reference_in_another_unit_is_not_subtracted() -> None:
    got = judge_curve(curve([0] * 5, unit="%"), mask=PLUS_MINUS_1, reference=REFERENCE)
    assert (got.verdict, got.reason) == (OPEN, "the reference is in dB re 20 µPa, curve in %")


def test_angles_differ_by_the_short_way_round() -> None:
    unit, reference = curve([179] * 5, unit="deg"), curve([-179] * 5, unit="deg")
    got = judge_curve(unit, mask=MaskLines(upper=5.0, lower=-5.0), reference=reference)
    assert got.margin == pytest.approx(3)


# Aligned by level


def test_an_aligned_mask_takes_the_mean_deviation_out_first() -> None:
    # Deviations +0.5, +0.9, +0.1 against +-1: mean 0.5, worst 0.4 left.
    hz = np.array([500.0, 1000.0, 2000.0])
    mask = MaskLines(upper=((500.0, 1.0), (2000.0, 1.0)), lower=((500.0, -1.0), (2000.0, -1.0)))
    reference = curve([90, 91, 92], hz=hz)
    got = judge_curve(curve([90.5, 91.9, 92.1], hz=hz), mask=mask, reference=reference, align=True)
    assert got.verdict is CONFORMS
    assert got.margin == pytest.approx(0.6)
    assert got.reason == "aligned by +0.50 dB"


@given(value=levels, offset=st.floats(-30, 30))
def test_a_level_offset_alone_changes_nothing_about_an_aligned_mask(
    value: list[float], offset: float
) -> None:
    a = judge_curve(curve(value), mask=PLUS_MINUS_1, align=True)
    b = judge_curve(curve([x + offset for x in value]), mask=PLUS_MINUS_1, align=True)
    assert b.margin == pytest.approx(a.margin, abs=1e-9)


def test_the_mean_is_one_over_log_f_however_the_points_lie() -> None:
    # Half the octaves lie 1 dB up; three quarters of the points do.
    hz = np.concatenate([np.geomspace(100, 1000, 1000), np.geomspace(1000, 10_000, 3000)[1:]])
    value = np.where(hz < 1000, 0.0, 1.0)
    mask = MaskLines(upper=1.0, lower=-1.0)
    got = judge_curve(curve(value, hz=hz), mask=mask, align=True)
    assert got.margin == pytest.approx(0.5, abs=1e-3)


def test_the_alignment_band_may_be_narrower_than_the_mask() -> None:
    got = judge_curve(
        curve([3, 2, 2, 2, 2]), mask=PLUS_MINUS_1, align=True, align_band_hz=(200, 1600)
    )
    assert got.nearest_hz == 100
    assert got.margin == pytest.approx(0)


def test_alignment_moves_a_slanted_mask_by_its_middle() -> None:
    mask = MaskLines(upper=((100.0, 92.0), (1600.0, 84.0)), lower=((100.0, 88.0), (1600.0, 80.0)))
    got = judge_curve(curve([95, 93, 91, 89, 87]), mask=mask, align=True)
    assert got.margin == pytest.approx(2)
    assert got.reason == "aligned by +5.00 dB"


def test_an_alignment_band_outside_the_valid_range_is_not_decided() -> None:
    got = judge_curve(
        curve([0] * 5, valid=GATED), mask=MaskLines(upper=1.0, lower=-1.0), align=True,
        align_band_hz=(100, 1000),
    )  # fmt: skip
    assert got.verdict is OPEN
    assert got.reason == "alignment band 100 to 1000 Hz, curve valid 210 to 1600 Hz"


def test_one_limit_alone_has_no_middle_to_align_by() -> None:
    got = judge_curve(curve([0] * 5), mask=MaskLines(upper=((100.0, 1.0),)), align=True)
    assert got.verdict is OPEN
    assert got.reason.startswith("no level to align by")


def test_an_alignment_band_that_does_not_rise_is_refused() -> None:
    with pytest.raises(DspError, match="alignment band does not rise"):
        judge_curve(curve([0] * 5), mask=PLUS_MINUS_1, align=True, align_band_hz=(900, 300))


# Numbers


@pytest.mark.parametrize(
    ("value", "verdict", "margin"),
    [(6.25, CONFORMS, 0.25), (6.6, OPEN, -0.1), (7.2, FAILS, -0.7), (6.4, OPEN, 0.1)],
)
def test_a_number_is_judged_by_the_same_rule(value: float, verdict: Verdict, margin: float) -> None:
    number = Number(value=value, unit="ohm", uncertainty=0.3, k=3)  # k = 2: 0.2
    got = judge_number(number, mask=MaskLines(upper=6.5, lower=5.0), guard=1)
    assert (got.verdict, got.nearest_hz) == (verdict, None)
    assert got.margin == pytest.approx(margin)
    assert got.reason == ("within the guard band" if verdict is OPEN else "")


def test_a_number_that_is_not_trusted_is_not_judged() -> None:
    number = Number(value=1.0, unit="1", reason="clipped")
    got = judge_number(number, mask=MaskLines(lower=1.0))
    assert (got.verdict, got.reason) == (OPEN, "clipped")
    assert math.isnan(got.margin)


def test_a_number_that_is_missing_is_not_judged() -> None:
    got = judge_number(Number(value=math.nan, unit="Hz"), mask=MaskLines(lower=1.0, upper=2.0))
    assert (got.verdict, got.reason) == (OPEN, "no value")


def test_a_relative_limit_of_a_number_is_about_the_reference() -> None:
    mask = MaskLines(upper=5.0, lower=-5.0)
    reference = Number(value=75.0, unit="Hz", uncertainty=0.3)
    got = judge_number(
        Number(value=79.0, unit="Hz", uncertainty=0.4), mask=mask, reference=reference, guard=1
    )
    assert got.verdict is CONFORMS
    assert got.margin == pytest.approx(1.0)
    stale = Number(value=75.0, unit="Hz", reason="stale")
    doubt = judge_number(Number(value=79.0, unit="Hz"), mask=mask, reference=stale)
    assert (doubt.verdict, doubt.reason) == (OPEN, "reference: stale")
    other = Number(value=75.0, unit="ohm")
    assert judge_number(Number(value=79.0, unit="Hz"), mask=mask, reference=other).verdict is OPEN


def test_limits_over_frequency_are_refused_for_a_number() -> None:
    with pytest.raises(DspError, match="mask over frequency for a number"):
        judge_number(Number(value=1, unit="1"), mask=PLUS_MINUS_1)
