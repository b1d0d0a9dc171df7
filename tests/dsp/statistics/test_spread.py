"""Spread of units."""

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from dsp import DspError
from dsp.statistics.spread import spread


def test_mean_and_deviation_are_those_of_the_known_values() -> None:
    found = spread(np.array([[1.0, 5.0], [2.0, np.nan], [6.0, np.nan]]))
    np.testing.assert_array_equal(found.count, [3, 1])
    np.testing.assert_allclose(found.mean, [3.0, 5.0])
    np.testing.assert_allclose(found.deviation, [np.sqrt(7.0), np.nan])


@given(st.integers(1, 30), st.integers(0, 2**32 - 1))
def test_percentiles_are_those_of_numpy(units: int, seed: int) -> None:
    values = np.random.default_rng(seed).normal(size=(units, 4))
    found = spread(values)
    for share, got in ((2.5, found.p2), (50, found.median), (97.5, found.p97)):
        np.testing.assert_allclose(got, np.percentile(values, share, axis=0), atol=1e-12)
    np.testing.assert_array_equal(found.low, values.min(axis=0))
    np.testing.assert_array_equal(found.high, values.max(axis=0))


def test_a_place_without_values_has_no_spread() -> None:
    found = spread(np.full((2, 1), np.nan))
    assert found.count[0] == 0
    for one in (found.mean, found.deviation, found.median):
        assert np.isnan(one[0])


@pytest.mark.parametrize("shape", [(3,), (0, 3)])
def test_what_is_no_table_of_units_is_refused(shape: tuple[int, ...]) -> None:
    with pytest.raises(DspError, match="spread: not units by places"):
        spread(np.zeros(shape))
