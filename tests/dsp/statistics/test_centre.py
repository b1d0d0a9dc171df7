"""Middle and deviation of units."""

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from dsp import DspError
from dsp.statistics.centre import centre


def test_mean_and_deviation_are_those_of_the_known_values() -> None:
    found = centre(np.array([[1.0, 5.0], [2.0, np.nan], [6.0, np.nan]]))
    np.testing.assert_array_equal(found.count, [3, 1])
    np.testing.assert_allclose(found.middle, [3.0, 5.0])
    np.testing.assert_allclose(found.deviation, [np.sqrt(7.0), np.nan])


@settings(max_examples=30)
@given(st.integers(2, 40), st.integers(0, 2**32 - 1))
def test_the_robust_middle_is_numpy_s_median(units: int, seed: int) -> None:
    values = np.random.default_rng(seed).normal(size=(units, 3))
    found = centre(values, robust=True)
    np.testing.assert_allclose(found.middle, np.median(values, axis=0), atol=1e-12)


@pytest.mark.parametrize("count", [2, 3, 4, 5, 6, 7, 8, 9, 10, 25])
def test_the_robust_deviation_is_right_on_average(count: int) -> None:
    # That of a standard normal is 1; C. Croux, P. J. Rousseeuw (1992) correct it to within 1 %.
    values = np.random.default_rng(count).standard_normal((count, 20_000))
    assert centre(values, robust=True).deviation.mean() == pytest.approx(1.0, abs=0.02)


def test_bad_units_do_not_pull_the_robust_middle() -> None:
    values = np.random.default_rng(1).standard_normal((100, 50))
    spoilt = values.copy()
    spoilt[:20] += 50.0
    plain, robust = centre(spoilt), centre(spoilt, robust=True)
    assert plain.deviation.min() > 15.0
    assert np.abs(robust.middle).max() < 1.0
    assert robust.deviation.max() < 2.5


def test_what_is_no_table_of_units_is_refused() -> None:
    with pytest.raises(DspError, match="not units by places"):
        centre(np.zeros(3))
