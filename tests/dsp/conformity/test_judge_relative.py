"""Judging about a reference take, and with the level aligned."""

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from dsp import DspError
from dsp.conformity.judge import judge_curve
from dsp.conformity.mask import MaskLines
from tests.dsp.conformity.judged_curve import (
    CONFORMS,
    FAILS,
    GATED,
    OPEN,
    PLUS_MINUS_1,
    curve,
    levels,
)

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
