"""Limits are drawn where they are judged: what is left to them is the margin of ``judge_curve``."""

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from dsp import Curve
from dsp.conformity.drawn_limits import DrawnLimit, drawn_limits
from dsp.conformity.judge import judge_curve
from dsp.conformity.mask import MaskLines
from tests.dsp.conformity.judged_curve import GATED, HZ, PLUS_MINUS_1, curve, levels

REFERENCE = curve([80, 85, 90, 88, 86])


def distance(judged: Curve, limits: tuple[DrawnLimit, ...]) -> float:
    """Smallest distance to what is drawn, at the curve's own points."""
    least = np.inf
    for limit in limits:
        at = np.interp(np.log(judged.frequency_hz), np.log(limit.frequency_hz), limit.value)
        inside = judged.valid.holds(judged.frequency_hz)
        away = at - judged.value if limit.side == "upper" else judged.value - at
        least = min(least, float(away[inside].min()))
    return least


@given(values=levels)
def test_what_is_left_to_the_drawn_limits_is_the_margin(values: list[float]) -> None:
    judged = curve(values)
    drawn = drawn_limits(PLUS_MINUS_1)
    assert distance(judged, drawn) == pytest.approx(
        judge_curve(judged, mask=PLUS_MINUS_1).margin, abs=1e-9
    )


@given(values=levels, align=st.booleans())
def test_about_a_reference_too_and_aligned(values: list[float], align: bool) -> None:
    judged = curve(values)
    drawn = drawn_limits(PLUS_MINUS_1, curve=judged, reference=REFERENCE, align=align)
    margin = judge_curve(judged, mask=PLUS_MINUS_1, reference=REFERENCE, align=align).margin
    assert distance(judged, drawn) == pytest.approx(margin, abs=1e-9)


def test_aligned_without_a_reference_the_mask_moves_with_the_curve() -> None:
    drawn = drawn_limits(PLUS_MINUS_1, curve=curve([7.0] * 5), align=True)
    np.testing.assert_allclose(drawn[0].value, 8.0)
    np.testing.assert_allclose(drawn[1].value, 6.0)


def test_without_a_curve_nothing_can_be_aligned() -> None:
    assert drawn_limits(PLUS_MINUS_1, align=True) == ()


def test_where_the_reference_does_not_hold_no_limit_is_drawn() -> None:
    reference = Curve(
        frequency_hz=HZ, value=np.zeros(5), unit="dB re 20 µPa", valid=GATED, uncertainty=None
    )
    drawn = drawn_limits(PLUS_MINUS_1, reference=reference)
    assert drawn[0].frequency_hz[0] >= GATED.low_hz


def test_one_value_for_all_stays_one_value() -> None:
    drawn = drawn_limits(MaskLines(upper=3.0))
    assert len(drawn) == 1
    assert drawn[0].frequency_hz.size == 0
    assert drawn[0].value.tolist() == [3.0]


def test_fine_points_lie_on_the_line_and_keep_the_mask_s_own() -> None:
    mask = MaskLines(upper=((100.0, 1.0), (1000.0, 10.0)))
    fine = drawn_limits(mask, fine=True)[0]
    assert fine.frequency_hz.size > 100
    assert {100.0, 1000.0} <= set(fine.frequency_hz.tolist())
    np.testing.assert_allclose(fine.value, mask.upper_at(fine.frequency_hz), atol=1e-9)
