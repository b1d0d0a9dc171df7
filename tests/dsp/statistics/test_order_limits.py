"""Distribution-free limits hold their share as often as they say, whatever units do."""

import numpy as np
import pytest
from scipy.special import ndtr

from dsp import DspError
from dsp.statistics.order_limits import order_limits, units_needed


@pytest.mark.parametrize(("count", "sides"), [(93, 2), (300, 2), (59, 1), (240, 1)])
def test_the_share_is_held_as_often_as_told(count: int, sides: int) -> None:
    # Drawn from a lognormal distribution: nothing normal is assumed.
    drawn = np.random.default_rng(count).standard_normal((count, 4000))
    found = order_limits(
        np.exp(drawn), coverage=0.95, confidence=0.95, sides=2 if sides == 2 else 1
    )
    below, above = ndtr(np.log(found.limits.lower)), ndtr(np.log(found.limits.upper))
    held = above - below if sides == 2 else above
    told = found.confidence[0]
    assert told >= 0.95
    assert np.mean(held >= 0.95) == pytest.approx(told, abs=4 * np.sqrt(0.05 * 0.95 / 4000))


def test_too_few_units_get_their_outermost_and_are_told_so() -> None:
    values = np.arange(20.0)[:, np.newaxis]
    found = order_limits(values, coverage=0.95, confidence=0.95)
    assert (found.limits.lower[0], found.limits.upper[0]) == (0.0, 19.0)
    # 1 - n p^(n-1) + (n-1) p^n
    assert found.confidence[0] == pytest.approx(1 - 20 * 0.95**19 + 19 * 0.95**20)


def test_missing_values_count_for_nothing() -> None:
    values = np.array([[1.0, np.nan], [2.0, np.nan], [np.nan, 7.0]])
    found = order_limits(values, coverage=0.5, confidence=0.5)
    np.testing.assert_allclose(found.limits.upper, [2.0, np.nan])
    assert np.isnan(found.confidence[1])


def test_the_fewest_units_are_just_enough() -> None:
    needed = units_needed(coverage=0.99, confidence=0.9)
    confidence = [1 - n * 0.99 ** (n - 1) + (n - 1) * 0.99**n for n in (needed - 1, needed)]
    assert confidence[0] < 0.9 <= confidence[1]


def test_what_cannot_be_is_refused() -> None:
    with pytest.raises(DspError, match="coverage outside"):
        units_needed(coverage=1.0, confidence=0.95)
