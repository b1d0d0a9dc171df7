"""Control charts speak up for a reason, and seldom without one."""

import numpy as np
import pytest

from dsp import DspError
from dsp.statistics.control_chart import individuals_chart, mean_range_chart, p_chart


def test_single_values_have_limits_from_their_moving_range() -> None:
    # NIST/SEMATECH e-Handbook, 6.3.2.2, flowrate example: mean 49.95, mean range 1.8778.
    flow = np.array([49.6, 47.6, 49.9, 51.3, 47.8, 51.2, 52.6, 52.4, 53.6, 52.1])
    found = individuals_chart(flow)
    ranges = np.abs(np.diff(flow)).mean()
    assert ranges == pytest.approx(1.8778, abs=1e-4)
    assert found.upper[0] == pytest.approx(flow.mean() + 3 * ranges / 1.128, abs=2e-3)
    assert found.in_control


def test_means_and_ranges_use_the_printed_factors() -> None:
    values = np.random.default_rng(4).standard_normal((25, 5))
    found = mean_range_chart(values)
    usual = np.ptp(values, axis=1).mean()
    # ISO 7870-2:2023: A2 0.577, D3 0, D4 2.114 for five values.
    assert found.mean.upper[0] == pytest.approx(values.mean() + 0.577 * usual, abs=5e-4 * usual)
    assert found.range.upper[0] == pytest.approx(2.114 * usual, abs=1e-3 * usual)
    assert found.range.lower[0] == 0.0
    eight = mean_range_chart(np.random.default_rng(5).standard_normal((25, 8))).range
    assert eight.lower[0] == pytest.approx(0.136 * eight.centre, abs=5e-4)


def test_a_production_that_only_scatters_is_seldom_stopped() -> None:
    values = np.random.default_rng(9).standard_normal(5000)
    found = individuals_chart(values)
    assert found.outside.mean() < 0.006  # 0.27 % beyond three deviations
    assert found.runs.mean() < 0.012
    assert found.deviation == pytest.approx(1.0, abs=0.05)


def test_a_shift_is_seen_by_its_run_before_any_point_lies_outside() -> None:
    values = np.concatenate([np.tile([-0.5, 0.5], 20), np.tile([0.9, 1.1], 8)])
    found = individuals_chart(values)
    assert not found.outside.any()
    assert found.runs[40 + 8]


def test_a_trend_is_seen() -> None:
    values = np.concatenate([np.tile([-0.5, 0.5], 10), np.linspace(-0.4, 0.5, 6)])
    found = individuals_chart(values)
    assert found.trends[-1]
    assert not found.trends[:20].any()


def test_small_groups_have_wider_limits_of_their_share() -> None:
    found = p_chart([1, 10], [10, 1000])
    assert found.centre == pytest.approx(11 / 1010)
    assert found.upper[0] > found.upper[1] > found.centre
    assert found.lower[0] == 0.0


def test_what_cannot_be_drawn_is_refused() -> None:
    with pytest.raises(DspError, match="too few values"):
        individuals_chart(np.array([1.0, np.nan]))
    with pytest.raises(DspError, match="not two or more whole groups"):
        mean_range_chart(np.array([[1.0, np.nan], [1.0, 2.0]]))
    with pytest.raises(DspError, match="count outside"):
        p_chart([3], [2])
