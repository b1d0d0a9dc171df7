import math

import numpy as np
import pytest

from dsp import DspError
from dsp.findings.usual import usual


def test_bad_units_among_good_ones_move_neither_middle_nor_spread_far() -> None:
    good = np.random.default_rng(1).normal(50.0, 2.0, size=90)
    alone, mixed = usual(good, assumed=2.0), usual(np.append(good, [90.0] * 10), assumed=2.0)
    assert mixed.middle == pytest.approx(alone.middle, abs=0.5)
    assert mixed.spread == pytest.approx(alone.spread, rel=0.2)


@pytest.mark.parametrize("count", [1, 3, 10, 60])
def test_a_further_unit_lies_within_two_spreads_as_often_as_it_should(count: int) -> None:
    # A normal lot whose spread was assumed rightly: 95.4 % within two standard deviations; what is
    # less is the scatter of a spread that ten units tell.
    rng = np.random.default_rng(count)
    lots, further = rng.normal(size=(3000, count)), rng.normal(size=3000)
    found = [usual(one, assumed=1.0) for one in lots]
    inside = [abs(x - u.middle) < 2 * u.spread for x, u in zip(further, found, strict=True)]
    assert np.mean(inside) == pytest.approx(0.954, abs=0.02)


def test_one_unit_tells_no_spread_of_its_own() -> None:
    # The difference of two units has twice the variance of one.
    assert usual(np.array([7.0]), assumed=2.0).spread == pytest.approx(2.0 * math.sqrt(2))


def test_many_units_overrule_what_was_assumed() -> None:
    values = np.random.default_rng(2).normal(0.0, 1.0, size=2000)
    assert usual(values, assumed=10.0).spread == pytest.approx(1.0, rel=0.35)
    assert usual(values, assumed=1.0).spread == pytest.approx(1.0, rel=0.05)


def test_a_unit_without_a_value_does_not_count() -> None:
    assert usual(np.array([1.0, math.nan, 3.0]), assumed=1.0).units == 2


def test_nothing_and_nothing_assumed_are_refused() -> None:
    with pytest.raises(DspError, match="no values"):
        usual(np.array([math.nan]), assumed=1.0)
    with pytest.raises(DspError, match="assumed spread: given 0"):
        usual(np.ones(3), assumed=0.0)
