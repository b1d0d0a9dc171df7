"""Two takes are compared figure by figure: the same only to the last bit."""

import math
from dataclasses import replace

import numpy as np
import pytest

from app.measure.differences import differences
from app.records.take import Take
from dsp import Curve, Number, ValidRange
from dsp.conformity.verdict import Verdict
from tests.app.records.made_takes import make_capture, make_take


@pytest.fixture
def take() -> Take:
    return make_take(make_capture())


def with_curve(take: Take, name: str, curve: Curve) -> Take:
    return replace(take, curves={**take.curves, name: curve})


def test_a_take_does_not_differ_from_itself_also_where_nothing_is_known(take: Take) -> None:
    found = differences(take, take)
    assert found.are_none  # its numbers and curves hold NaN
    assert [n.name for n in found.numbers] == list(take.numbers)
    assert [c.name for c in found.curves] == list(take.curves)


def test_the_last_bit_of_a_number_counts(take: Take) -> None:
    value = take.numbers["sensitivity_db"].value
    moved = replace(take.numbers["sensitivity_db"], value=math.nextafter(value, 100.0))
    found = differences(take, replace(take, numbers={**take.numbers, "sensitivity_db": moved}))
    assert not found.are_none
    assert [n.name for n in found.numbers if not n.is_same] == ["sensitivity_db"]


def test_a_number_s_difference_has_the_interval_of_both(take: Take) -> None:
    one = replace(take, numbers={"re_ohm": Number(value=6.0, unit="ohm", uncertainty=0.3, k=3.0)})
    two = replace(take, numbers={"re_ohm": Number(value=6.5, unit="ohm", uncertainty=0.4, k=2.0)})
    (number,) = differences(one, two).numbers
    assert number.away == pytest.approx(0.5)
    # JCGM 100:2008, 5.1.2: standard uncertainties 0.1 and 0.2 add in squares; twice that.
    assert number.interval == pytest.approx(2 * math.sqrt(0.1**2 + 0.2**2))


def test_a_curve_differs_most_where_both_may_be_believed(take: Take) -> None:
    hz = np.array([50.0, 100.0, 200.0, 400.0, 800.0])
    valid = ValidRange(low_hz=90.0, high_hz=500.0)
    sure = np.full(5, 0.3)
    old = Curve(frequency_hz=hz, value=np.zeros(5), unit="dB", valid=valid, uncertainty=sure)
    new = replace(old, value=np.array([9.0, 0.1, -0.4, 0.2, 8.0]), uncertainty=0.4 * np.ones(5))
    (level,) = [
        c
        for c in differences(with_curve(take, "x", old), with_curve(take, "x", new)).curves
        if c.name == "x"
    ]
    assert not level.is_same
    assert level.largest == pytest.approx(-0.4)
    assert level.at_hz == 200.0
    assert level.interval == pytest.approx(0.5)


def test_another_valid_range_is_a_difference(take: Take) -> None:
    level = take.curves["level"]
    narrower = replace(level, valid=replace(level.valid, low_hz=level.valid.low_hz + 1))
    assert not differences(take, with_curve(take, "level", narrower)).are_none


def test_what_only_one_of_them_has_is_a_difference(take: Take) -> None:
    fewer = replace(take, curves={"level": take.curves["level"]}, numbers={})
    found = differences(take, fewer)
    assert not any(number.is_same for number in found.numbers)
    (missing,) = [curve for curve in found.curves if not curve.is_same]
    assert (missing.name, missing.at_hz) == ("h2", None)
    assert math.isnan(missing.largest)


def test_another_verdict_is_a_difference(take: Take) -> None:
    judged = replace(take, verdict=Verdict.CONFORMS)
    found = differences(take, judged)
    assert (found.old_verdict, found.new_verdict) == (Verdict.NOT_DECIDED, Verdict.CONFORMS)
    assert not found.are_none
