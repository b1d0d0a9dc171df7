"""Control limits, change and slope of a history against published examples and closed forms."""

import math

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from dsp import DspError
from dsp.calibration.drift import LEAST_FOR_LIMITS, control_limits, drift
from dsp.calibration.scatter import pooled_scatter

# NIST/SEMATECH e-Handbook of Statistical Methods, 6.3.2.2, "Individuals control limits for a
# batch": flow rates, and the limits printed there.
FLOW = (49.6, 47.6, 49.9, 51.3, 47.8, 51.2, 52.6, 52.4, 53.6, 52.1)


def test_the_published_example_of_an_individuals_chart_is_met() -> None:
    found = control_limits(FLOW)
    # The handbook divides by 1.128, d2 to four digits.
    assert found.centre == pytest.approx(50.81)
    assert found.upper == pytest.approx(55.8041, abs=2e-3)
    assert found.lower == pytest.approx(45.8159, abs=2e-3)


def test_the_last_value_is_held_against_limits_that_it_has_no_part_in() -> None:
    days = [30.0 * at for at in range(len(FLOW) + 1)]
    small = [0.1] * len(days)
    inside = drift(days, values=[*FLOW, 55.7], expanded=small)
    outside = drift(days, values=[*FLOW, 55.9], expanded=small)
    assert (inside.out_of_control, outside.out_of_control) == (False, True)


@pytest.mark.parametrize("count", range(1, LEAST_FOR_LIMITS + 1))
def test_few_values_have_no_limits(count: int) -> None:
    days = [float(at) for at in range(count)]
    found = drift(days, values=[1.0] * count, expanded=[0.1] * count)
    assert (found.limits, found.out_of_control) == (None, False)


def test_a_change_counts_once_it_exceeds_both_intervals() -> None:
    # Root of the sum of squares of 0.3 and 0.4 is 0.5 (JCGM 100:2008, 5.1.2).
    days, expanded = [0.0, 30.0], [0.3, 0.4]
    assert not drift(days, values=[0.0, 0.49], expanded=expanded).moved
    assert drift(days, values=[0.0, -0.51], expanded=expanded).moved


@given(slope=st.floats(-1, 1), offset=st.floats(-60, 0))
def test_a_straight_line_has_its_own_slope_and_nothing_to_doubt(
    slope: float, offset: float
) -> None:
    days = [0.0, 100.0, 250.0, 365.25, 500.0]
    values = [offset + slope * day / 365.25 for day in days]
    found = drift(days, values=values, expanded=[0.1] * 5)
    assert found.per_year == pytest.approx(slope, abs=1e-9)
    assert found.per_year_uncertainty == pytest.approx(0, abs=1e-9)


def test_the_interval_of_the_slope_holds_in_95_of_100_histories() -> None:
    # Normal scatter about no drift at all: the interval must hold 0 as often as it says, 95.45 %;
    # 2000 histories scatter about that by 0.5 %.
    rng = np.random.default_rng(4)
    days = np.sort(rng.uniform(0, 1000, 8))
    held = sum(
        not drift(days.tolist(), values=rng.normal(size=8).tolist(), expanded=[0.1] * 8).drifts
        for _ in range(2000)
    )
    assert 0.94 < held / 2000 < 0.97


def test_days_that_fall_and_rows_that_differ_are_refused() -> None:
    with pytest.raises(DspError, match="days fall"):
        drift([1.0, 0.0], values=[0.0, 0.0], expanded=[0.1, 0.1])
    with pytest.raises(DspError, match="rows"):
        drift([1.0], values=[0.0, 0.0], expanded=[0.1, 0.1])
    with pytest.raises(DspError, match="too few"):
        control_limits([1.0])


def test_one_value_has_no_drift() -> None:
    found = drift([0.0], values=[1.0], expanded=[0.1])
    assert math.isnan(found.per_year)
    assert not found.moved
    assert not found.drifts


def test_scatter_is_pooled_within_days() -> None:
    # Sums of squares 2 and 0.5 over 2 + 1 degrees of freedom, by hand; the single one says nothing.
    found = pooled_scatter([[1.0, 2.0, 3.0], [10.0, 11.0], [50.0]])
    assert found is not None
    assert found.deviation == pytest.approx(math.sqrt(2.5 / 3))
    assert found.degrees == 3
    assert pooled_scatter([[1.0], []]) is None
