"""Limits of whole curves stop the share of good units that was asked for."""

import numpy as np
import pytest
from scipy.special import ndtri, stdtrit

from dsp import DspError, Floats
from dsp.statistics.unit_rate import unit_rate_limits

HZ = np.geomspace(50, 18_000, 100)
_AWAY = np.log2(HZ)[:, np.newaxis] - np.log2(HZ)
_SMOOTH = np.linalg.cholesky(np.exp(-(_AWAY**2) / 2) + 1e-8 * np.eye(HZ.size))
_ROUGH = np.linalg.cholesky(np.exp(-(_AWAY**2) / 0.05) + 1e-8 * np.eye(HZ.size))


def units(count: int, *, rng: np.random.Generator) -> Floats:
    """Curves whose points hang together: level, slow tilt, and break-up above 3 kHz, dB."""
    level = 0.2 * rng.standard_normal((count, 1))
    tilt = 0.12 * rng.standard_normal((count, HZ.size)) @ _SMOOTH.T
    break_up = np.where(HZ > 3000, 0.4, 0.05) * (rng.standard_normal((count, HZ.size)) @ _ROUGH.T)
    return np.asarray(level + tilt + break_up)


@pytest.fixture(scope="module")
def coming() -> Floats:
    """Good units that nobody has seen yet."""
    return units(8000, rng=np.random.default_rng(5))


def stopped(values: Floats, coming: Floats, *, rate: float, robust: bool = False) -> float:
    limits = unit_rate_limits(values, rate=rate, robust=robust).limits
    return float(((coming > limits.upper) | (coming < limits.lower)).any(axis=1).mean())


@pytest.mark.parametrize(
    ("count", "rate", "low", "high"),
    [(300, 0.01, 0.005, 0.015), (300, 0.001, 0.0002, 0.002), (50, 0.001, 0.0, 0.004)],
)
def test_so_many_units_to_come_are_stopped(
    count: int, rate: float, low: float, high: float, coming: Floats
) -> None:
    rng = np.random.default_rng(11)
    mean = np.mean([stopped(units(count, rng=rng), coming, rate=rate) for _ in range(5)])
    assert low < mean < high


def test_three_deviations_would_stop_many_more(coming: Floats) -> None:
    values = units(100, rng=np.random.default_rng(3))
    away = np.abs(coming - values.mean(axis=0)) / values.std(axis=0, ddof=1)
    assert (away > 3).any(axis=1).mean() > 0.03
    assert stopped(values, coming, rate=0.001) < 0.005


def test_a_single_place_needs_what_the_normal_distribution_says() -> None:
    values = np.random.default_rng(2).standard_normal((4000, 1))
    assert unit_rate_limits(values, rate=0.01).k == pytest.approx(-ndtri(0.005), abs=0.15)
    one_side = unit_rate_limits(values, rate=0.01, lower=False).k
    assert one_side == pytest.approx(-ndtri(0.01), abs=0.15)


def test_few_units_have_limits_as_wide_as_their_mean_and_deviation_are_uncertain() -> None:
    # A new unit leaves mean ± k s of n normal ones with the probability of Student's t:
    # k = t(n - 1) sqrt(1 + 1/n).
    rng = np.random.default_rng(13)
    for lower, tail in ((True, 0.025), (False, 0.05)):
        k = [
            unit_rate_limits(rng.standard_normal((8, 1)), rate=0.05, lower=lower).k
            for _ in range(200)
        ]
        assert np.quantile(k, 0.1) > 0.85 * -stdtrit(7, tail) * np.sqrt(1 + 1 / 8)


def test_bad_units_among_them_widen_robust_limits_little() -> None:
    values = units(200, rng=np.random.default_rng(4))
    spoilt = values.copy()
    spoilt[:10] += 3.0
    clean, robust = (
        unit_rate_limits(one, rate=0.01, robust=True).limits for one in (values, spoilt)
    )
    plain = unit_rate_limits(spoilt, rate=0.01).limits
    width = np.median(clean.upper - clean.lower)
    assert np.median(robust.upper - robust.lower) < 1.3 * width
    assert np.median(plain.upper - plain.lower) > 2 * width


def test_each_unit_is_compared_with_the_others() -> None:
    values = np.random.default_rng(6).standard_normal((12, 3))
    found = unit_rate_limits(values, rate=0.1)
    for unit in range(12):
        others = np.delete(values, unit, axis=0)
        away = np.abs(values[unit] - others.mean(axis=0)) / others.std(axis=0, ddof=1)
        assert found.departures[unit] == pytest.approx(away.max())


def test_a_deviation_is_no_less_than_its_floor() -> None:
    values = 0.001 * np.random.default_rng(7).standard_normal((20, 5))
    found = unit_rate_limits(values, rate=0.01, floor=0.1)
    assert found.limits.upper - found.limits.lower == pytest.approx(2 * 0.1 * found.k)
    assert found.departures.max() < 0.1


def test_places_where_few_units_are_known_have_no_limit() -> None:
    values = np.random.default_rng(8).standard_normal((20, 3))
    values[3:, 1] = np.nan
    found = unit_rate_limits(values, rate=0.01)
    assert np.isnan(found.limits.upper[1])
    assert np.isfinite(found.limits.upper[[0, 2]]).all()


@pytest.mark.parametrize(
    ("values", "rate", "said"),
    [(np.zeros((3, 2)), 0.01, "too few units"), (np.zeros((9, 2)), 0.0, "rate outside")],
)
def test_what_cannot_be_is_refused(values: Floats, rate: float, said: str) -> None:
    with pytest.raises(DspError, match=said):
        unit_rate_limits(values, rate=rate)


@pytest.mark.parametrize("robust", [False, True])
def test_units_that_are_all_alike_need_a_floor(robust: bool) -> None:
    alike = np.ones((20, 5))
    with pytest.raises(DspError, match="do not differ"):
        unit_rate_limits(alike, rate=0.01, robust=robust)
    found = unit_rate_limits(alike, rate=0.01, robust=robust, floor=0.1)
    assert np.all(found.limits.upper > 1)
