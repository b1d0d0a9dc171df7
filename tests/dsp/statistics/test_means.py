"""Means and their differences, held against SciPy's own test and a published example."""

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from scipy import stats

from dsp import DspError
from dsp.statistics.means import GroupMean, difference_of_means, group_mean


def mean_of(values: list[float]) -> GroupMean:
    found = group_mean(np.array(values))
    assert found is not None
    return found


groups = st.lists(st.floats(-100, 100), min_size=2, max_size=20).filter(lambda v: np.ptp(v) > 1e-3)


@given(groups, groups)
def test_the_interval_is_that_of_welch_s_test(one: list[float], other: list[float]) -> None:
    found = difference_of_means(mean_of(one), mean_of(other))
    # SciPy's ttest_ind with equal_var=False: an implementation that is not ours.
    low, high = stats.ttest_ind(one, other, equal_var=False).confidence_interval(0.95)
    assert found.value == pytest.approx((low + high) / 2, abs=1e-9)
    assert found.uncertainty == pytest.approx((high - low) / 2, rel=1e-9)


def test_a_published_mean_and_its_uncertainty() -> None:
    # JCGM 100:2008, 4.4.3, table 1: twenty readings of a temperature, mean 100.145 °C,
    # deviation 1.489 °C, standard uncertainty of the mean 0.333 °C.
    readings = [96.90, 98.18, 98.25, 98.61, 99.03, 99.49, 99.56, 99.74, 99.89, 100.07]
    readings += [100.33, 100.42, 100.68, 100.95, 101.11, 101.20, 101.57, 101.84, 102.36, 102.72]
    found = mean_of(readings)
    assert found.value == pytest.approx(100.145, abs=5e-4)
    assert found.deviation == pytest.approx(1.489, abs=5e-4)
    assert found.standard_uncertainty == pytest.approx(0.333, abs=5e-4)


def test_what_is_missing_does_not_count() -> None:
    assert group_mean(np.array([np.nan, np.inf])) is None
    found = mean_of([1.0, np.nan, 3.0])
    assert (found.count, found.value) == (2, 2.0)
    assert found.deviation == pytest.approx(np.sqrt(2))


def test_one_value_has_no_scatter_to_judge_by() -> None:
    alone = mean_of([1.0])
    assert alone.standard_uncertainty is None
    with pytest.raises(DspError, match="too few values"):
        difference_of_means(alone, mean_of([1.0, 2.0]))


def test_groups_without_scatter_differ_exactly() -> None:
    found = difference_of_means(mean_of([2.0, 2.0]), mean_of([1.0, 1.0]))
    assert (found.value, found.uncertainty) == (1.0, 0.0)
