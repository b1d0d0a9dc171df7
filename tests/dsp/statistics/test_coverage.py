import math

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from dsp import DspError
from dsp.statistics.coverage import coverage_factor, effective_degrees_of_freedom


@pytest.mark.parametrize(
    ("freedom", "k"), [(4, 2.87), (5, 2.65), (8, 2.37), (10, 2.28), (20, 2.13), (50, 2.05)]
)  # JCGM 100:2008, table G.2, column 95.45 %
def test_few_readings_need_a_larger_factor(freedom: float, k: float) -> None:
    assert coverage_factor(freedom) == pytest.approx(k, abs=0.005)


def test_many_readings_need_the_factor_of_the_normal_distribution() -> None:
    assert coverage_factor(math.inf) == pytest.approx(2.0, abs=1e-4)
    assert coverage_factor(math.inf, probability=0.95) == pytest.approx(1.959964, abs=1e-6)
    assert coverage_factor(1e9) == pytest.approx(coverage_factor(math.inf), rel=1e-6)


def test_equal_contributions_pool_their_degrees_of_freedom() -> None:
    got = effective_degrees_of_freedom(np.ones(4), degrees_of_freedom=np.full(4, 9.0))
    assert got == pytest.approx(36)


def test_two_instruments_pool_by_the_fourth_powers() -> None:
    # JCGM 100:2008, example H.1.6: contributions 25, 9.7, 2.9, 16.6 nm, rounded there to 16.
    contributions = np.array([25.0, 9.7, 2.9, 16.6])
    freedom = np.array([18.0, 25.6, 50.0, 2.0])
    got = effective_degrees_of_freedom(contributions, degrees_of_freedom=freedom)
    assert math.floor(got) == 16
    assert coverage_factor(math.floor(got), probability=0.99) == pytest.approx(2.92, abs=0.005)


@given(
    parts=st.lists(st.floats(1e-3, 1e3), min_size=1, max_size=6),
    freedom=st.floats(1, 1e3),
    scale=st.floats(1e-3, 1e3),
)
def test_pooling_lies_between_the_least_and_the_sum_and_knows_no_unit(
    parts: list[float], freedom: float, scale: float
) -> None:
    each = np.full(len(parts), freedom)
    got = effective_degrees_of_freedom(np.array(parts), degrees_of_freedom=each)
    assert freedom * (1 - 1e-9) <= got <= freedom * len(parts) * (1 + 1e-9)
    scaled = effective_degrees_of_freedom(np.array(parts) * scale, degrees_of_freedom=each)
    assert scaled == pytest.approx(got)


def test_contributions_known_exactly_leave_infinitely_many() -> None:
    got = effective_degrees_of_freedom(np.ones(2), degrees_of_freedom=np.full(2, math.inf))
    assert math.isinf(got)


def test_what_makes_no_interval_is_refused() -> None:
    with pytest.raises(DspError, match="degrees of freedom: given 0"):
        coverage_factor(0)
    with pytest.raises(DspError, match="probability outside"):
        coverage_factor(5, probability=1.0)
    with pytest.raises(DspError, match="shapes differ"):
        effective_degrees_of_freedom(np.ones(2), degrees_of_freedom=np.ones(3))
    with pytest.raises(DspError, match="from 1"):
        effective_degrees_of_freedom(np.ones(1), degrees_of_freedom=np.zeros(1))
    with pytest.raises(DspError, match="no contribution above 0"):
        effective_degrees_of_freedom(np.zeros(1), degrees_of_freedom=np.ones(1))
