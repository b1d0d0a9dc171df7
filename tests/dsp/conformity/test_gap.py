"""Distances to limits as ratios: 20 log10, as ISO 80000-8 defines a level difference."""

import math

import pytest
from hypothesis import given
from hypothesis import strategies as st

from dsp.conformity.gap import gap_db

POSITIVE = st.floats(1e-3, 1e3)


@given(margin=st.floats(-100, 100))
def test_a_margin_in_decibels_is_one_already(margin: float) -> None:
    assert gap_db(value=3.0, margin=margin, unit="dB re 20 µPa", upper=True) == margin


@given(value=POSITIVE, limit=POSITIVE)
def test_a_ratio_is_told_in_decibels(value: float, limit: float) -> None:
    over = gap_db(value=value, margin=limit - value, unit="ohm", upper=True)
    under = gap_db(value=value, margin=value - limit, unit="ohm", upper=False)
    expected = 20 * math.log10(limit / value)
    assert over == pytest.approx(expected, abs=1e-6)
    assert under == pytest.approx(-expected, abs=1e-6)


def test_twice_the_limit_is_six_decibels_outside() -> None:
    assert gap_db(value=0.4, margin=-0.2, unit="%", upper=True) == pytest.approx(-6.0206, abs=1e-4)


@pytest.mark.parametrize("margin", [1.0, -1.0])
def test_without_a_ratio_only_the_side_is_known(margin: float) -> None:
    gap = gap_db(value=-1.0, margin=margin, unit="1", upper=False)
    assert gap == math.copysign(math.inf, margin)


def test_nothing_judged_is_no_distance() -> None:
    assert math.isnan(gap_db(value=1.0, margin=math.nan, unit="ohm", upper=True))
