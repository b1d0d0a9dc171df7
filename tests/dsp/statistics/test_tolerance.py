"""Tolerance factors, and limits drawn from a spread."""

import numpy as np
import pytest
from scipy.special import ndtr

from dsp import DspError
from dsp.statistics.centre import centre
from dsp.statistics.tolerance import sigma_limits, tolerance_factor, tolerance_limits

# P. M. Berthouex, L. C. Brown, Statistics for Environmental Engineers, 2nd ed. (2002), table 21.1:
# two-sided factors with 95 % confidence for 90, 95 and 99 % of the units, to the digits printed.
TABLE = {
    4: (5.37, 6.34, 8.22),
    5: (4.29, 5.08, 6.60),
    6: (3.73, 4.42, 5.76),
    7: (3.39, 4.02, 5.24),
    8: (3.16, 3.75, 4.89),
    9: (2.99, 3.55, 4.63),
    10: (2.86, 3.39, 4.44),
    12: (2.67, 3.17, 4.16),
    15: (2.49, 2.96, 3.89),
    20: (2.32, 2.76, 3.62),
    25: (2.22, 2.64, 3.46),
    30: (2.15, 2.55, 3.35),
    40: (2.06, 2.45, 3.22),
    60: (1.96, 2.34, 3.07),
}


@pytest.mark.parametrize("count", TABLE)
def test_the_factor_is_the_table_s(count: int) -> None:
    found = [
        tolerance_factor(count, coverage=share, confidence=0.95) for share in (0.90, 0.95, 0.99)
    ]
    assert found == pytest.approx(TABLE[count], abs=0.0051)  # half a digit of the last place


def test_the_factor_agrees_with_the_handbook_s_example() -> None:
    # NIST/SEMATECH e-Handbook 7.2.6.3: 43 wafers, 90 % with 99 % confidence, 2.2173 by Howe's
    # approximation, whose error is below half a per cent there.
    assert tolerance_factor(43, coverage=0.90, confidence=0.99) == pytest.approx(2.2173, rel=5e-3)


def test_many_units_need_no_more_than_the_normal_distribution() -> None:
    found = tolerance_factor(10**7, coverage=0.95, confidence=0.5)
    assert found == pytest.approx(1.959964, abs=1e-4)


def test_the_interval_holds_the_share_as_often_as_it_says() -> None:
    # 95 % of a standard normal, with 90 % confidence, from 12 units: 4000 samples, seed fixed.
    rng = np.random.default_rng(7)
    limits = tolerance_limits(
        centre(rng.standard_normal((12, 4000))), coverage=0.95, confidence=0.90
    )
    held = np.mean(ndtr(limits.upper) - ndtr(limits.lower) >= 0.95)
    assert held == pytest.approx(0.90, abs=4 * np.sqrt(0.9 * 0.1 / 4000))


def test_one_limit_alone_needs_the_factor_of_one_side() -> None:
    # NIST/SEMATECH e-Handbook 7.2.6.3, the same wafers: 1.8752 by an approximation.
    found = tolerance_factor(43, coverage=0.90, confidence=0.99, sides=1)
    assert found == pytest.approx(1.8752, rel=5e-3)


def test_one_limit_holds_the_share_as_often_as_it_says() -> None:
    rng = np.random.default_rng(11)
    limits = tolerance_limits(
        centre(rng.standard_normal((8, 4000))), coverage=0.99, confidence=0.80, sides=1
    )
    for held in (ndtr(limits.upper) >= 0.99, ndtr(-limits.lower) >= 0.99):
        assert np.mean(held) == pytest.approx(0.80, abs=4 * np.sqrt(0.8 * 0.2 / 4000))


def test_limits_stand_k_deviations_from_the_mean() -> None:
    found = centre(np.array([[1.0, 5.0], [2.0, np.nan], [6.0, np.nan]]))
    limits = sigma_limits(found, k=2)
    np.testing.assert_allclose(limits.upper, [3 + 2 * np.sqrt(7.0), np.nan])
    np.testing.assert_allclose(limits.lower, [3 - 2 * np.sqrt(7.0), np.nan])


@pytest.mark.parametrize(
    ("count", "coverage", "confidence"), [(1, 0.95, 0.95), (5, 1.0, 0.95), (5, 0.95, 0.0)]
)
def test_what_has_no_factor_is_refused(count: int, coverage: float, confidence: float) -> None:
    with pytest.raises(DspError):
        tolerance_factor(count, coverage=coverage, confidence=confidence)


def test_limits_without_width_are_refused() -> None:
    with pytest.raises(DspError, match="sigma_limits: k not above 0"):
        sigma_limits(centre(np.zeros((2, 1))), k=0)
