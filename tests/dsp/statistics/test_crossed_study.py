"""Gauge studies find the deviations that readings were made with, and are as sure as they say."""

import numpy as np
import pytest
from scipy.stats import chi2

from dsp import DspError, Floats
from dsp.statistics.crossed_study import crossed_study, study_interval

PART, OPERATOR, REPEAT = 1.0, 0.1, 0.16
GAUGE = float(np.hypot(OPERATOR, REPEAT))


def made(parts: int, operators: int, repeats: int, *, studies: int) -> Floats:
    rng = np.random.default_rng(17)
    return np.asarray(
        PART * rng.standard_normal((parts, 1, 1, studies))
        + OPERATOR * rng.standard_normal((1, operators, 1, studies))
        + REPEAT * rng.standard_normal((parts, operators, repeats, studies))
    )


def test_many_studies_find_what_they_were_made_with() -> None:
    shares = crossed_study(made(10, 3, 3, studies=2000)).shares
    # Pooling by what the data say takes a little off: interactions by chance count one way only.
    assert np.mean(shares.repeatability**2) == pytest.approx(REPEAT**2, rel=0.05)
    assert np.mean(shares.part**2) == pytest.approx(PART**2, rel=0.05)
    share = shares.gauge_share
    # By 4000 simulations of such a study elsewhere: median 18.7 %, 5 to 95 % 12.4 to 30.6 %.
    assert np.quantile(share, [0.05, 0.5, 0.95]) == pytest.approx([0.124, 0.187, 0.306], abs=0.012)


def test_the_interval_holds_the_truth_as_often_as_it_says() -> None:
    study = crossed_study(made(10, 3, 3, studies=300))
    found = study_interval(study, rng=np.random.default_rng(3), draws=500)
    held = np.mean((found.gauge_low <= GAUGE) & (found.gauge_high >= GAUGE))
    assert held == pytest.approx(0.95, abs=4 * np.sqrt(0.05 * 0.95 / 300))
    share = GAUGE / np.hypot(GAUGE, PART)
    held = np.mean((found.share_low <= share) & (found.share_high >= share))
    assert held == pytest.approx(0.95, abs=4 * np.sqrt(0.05 * 0.95 / 300))


def test_the_interval_of_repeats_alone_is_that_of_chi_squared() -> None:
    study = crossed_study(made(10, 1, 4, studies=1)[..., 0])
    found = study_interval(study, rng=np.random.default_rng(1), draws=20_000)
    ends = np.sqrt(30 / chi2.ppf([0.975, 0.025], 30))  # 10 units, 3 degrees of freedom each
    deviation = float(study.shares.repeatability)
    assert (found.gauge_low, found.gauge_high) == pytest.approx(deviation * ends, rel=0.01)


def test_operators_who_disagree_on_some_units_only_are_told_apart() -> None:
    rng = np.random.default_rng(8)
    values = made(20, 4, 3, studies=200) + rng.standard_normal((20, 4, 1, 200))
    study = crossed_study(values)
    assert not study.pooled.any()
    assert np.mean(study.shares.interaction**2) == pytest.approx(1.0, rel=0.1)


def test_a_single_operator_is_repeatable_or_not() -> None:
    study = crossed_study(made(10, 1, 4, studies=500))
    assert (study.shares.reproducibility == 0).all()
    assert np.mean(study.shares.repeatability**2) == pytest.approx(REPEAT**2, rel=0.03)
    assert np.isnan(study.interaction_p).all()


def test_a_gauge_without_scatter_tells_everything_apart() -> None:
    values = np.broadcast_to(np.arange(5.0)[:, None, None], (5, 2, 2))
    study = crossed_study(values)
    assert study.shares.gauge == 0
    assert study.categories == 999


@pytest.mark.parametrize("shape", [(1, 3, 3), (5, 2, 1), (5, 2)])
def test_too_small_a_study_is_refused(shape: tuple[int, ...]) -> None:
    with pytest.raises(DspError, match="too small"):
        crossed_study(np.zeros(shape))


def test_a_missing_reading_is_refused() -> None:
    values = np.zeros((3, 2, 2))
    values[1, 1, 1] = np.nan
    with pytest.raises(DspError, match="readings missing"):
        crossed_study(values)
