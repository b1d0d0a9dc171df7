"""Judging single numbers."""

import math

import pytest

from dsp import DspError, Number
from dsp.conformity.judge import judge_number
from dsp.conformity.mask import MaskLines
from dsp.conformity.verdict import Verdict
from tests.dsp.conformity.judged_curve import CONFORMS, FAILS, OPEN, PLUS_MINUS_1

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


def test_a_number_that_is_a_bound_conforms_below_a_limit_and_fails_nothing_above_it() -> None:
    hidden = Number(value=-60.0, unit="dB", is_bound=True)
    below = judge_number(hidden, mask=MaskLines(upper=-50.0, lower=None))
    above = judge_number(hidden, mask=MaskLines(upper=-70.0, lower=None))
    at_least = judge_number(hidden, mask=MaskLines(upper=None, lower=-70.0))
    assert below.verdict is Verdict.CONFORMS
    assert (above.verdict, at_least.verdict) == (Verdict.NOT_DECIDED, Verdict.NOT_DECIDED)
