"""Uncertainty and conformity against the worked examples of the guides.

Sources: JCGM 100:2008 (GUM), H.2 and table G.2; JCGM 101:2008, 9.2; JCGM 106:2012, 7 and 8.
"""

import math

import numpy as np
import pytest

from dsp import Floats, Number
from dsp.conformity.judge import judge_number
from dsp.conformity.mask import MaskLines
from dsp.conformity.verdict import Verdict
from dsp.statistics.combine import combined_uncertainty, covariance_of_means, propagated_covariance
from dsp.statistics.conformance import conformance_probability
from dsp.statistics.coverage import coverage_factor

# JCGM 100:2008, table H.2: V, A, rad, read at the same time
READINGS = np.array(
    [
        [5.007, 4.994, 5.005, 4.990, 4.999],
        [19.663e-3, 19.639e-3, 19.640e-3, 19.685e-3, 19.678e-3],
        [1.0456, 1.0438, 1.0468, 1.0428, 1.0433],
    ]
)


def slopes() -> Floats:
    """Of R = V/I cos phi, X = V/I sin phi, Z = V/I."""
    v, i, p = READINGS.mean(axis=1)
    return np.array(
        [
            [np.cos(p) / i, -v / i**2 * np.cos(p), -v / i * np.sin(p)],
            [np.sin(p) / i, -v / i**2 * np.sin(p), v / i * np.cos(p)],
            [1 / i, -v / i**2, 0.0],
        ]
    )


def correlation(covariance: Floats) -> Floats:
    u = np.sqrt(np.diag(covariance))
    return np.asarray(covariance / np.outer(u, u))


def test_means_of_simultaneous_readings_have_the_guide_s_uncertainties_and_correlations() -> None:
    got = covariance_of_means(READINGS)
    u = np.sqrt(np.diag(got))
    np.testing.assert_allclose(u, [0.00320936, 9.47101e-6, 0.000752064], rtol=2e-6)
    np.testing.assert_allclose(u, [0.0032, 0.0095e-3, 0.00075], rtol=0.005)  # as printed
    r = correlation(got)
    np.testing.assert_allclose([r[0, 1], r[0, 2], r[1, 2]], [-0.3553, 0.8576, -0.6451], atol=5e-5)


def test_resistance_reactance_and_impedance_have_the_guide_s_uncertainties() -> None:
    got = propagated_covariance(covariance_of_means(READINGS), jacobian=slopes())
    u = np.sqrt(np.diag(got))
    np.testing.assert_allclose(u, [0.071071, 0.295582, 0.236336], rtol=1e-5)
    np.testing.assert_allclose(u, [0.071, 0.295, 0.236], atol=0.001)  # as printed
    r = correlation(got)
    pairs = [r[0, 1], r[0, 2], r[1, 2]]
    np.testing.assert_allclose(pairs, [-0.5884, -0.4853, 0.9925], atol=5e-5)
    np.testing.assert_allclose(pairs, [-0.588, -0.485, 0.993], atol=0.001)  # as printed


def test_each_result_alone_combines_to_the_same_and_not_to_what_ignores_correlation() -> None:
    covariance = covariance_of_means(READINGS)
    u, r = np.sqrt(np.diag(covariance)), correlation(covariance)
    wanted = (0.071071, 0.295582, 0.236336)
    naive = (0.1945, 0.2009, 0.2041)
    for slope, right, wrong in zip(slopes(), wanted, naive, strict=True):
        assert combined_uncertainty(u, sensitivity=slope, correlation=r) == pytest.approx(
            right, rel=1e-5
        )
        alone = combined_uncertainty(u, sensitivity=slope)
        assert alone == pytest.approx(wrong, abs=5e-5)
        assert abs(alone - right) > 0.03


def test_sums_of_four_have_the_guide_s_standard_uncertainty_and_normal_interval() -> None:
    # JCGM 101:2008, 9.2.2 to 9.2.4: u = 2; u = sqrt(3 + 10^2)
    equal = combined_uncertainty(np.ones(4))
    assert equal == pytest.approx(2.0, rel=1e-12)
    k = coverage_factor(math.inf, probability=0.95)
    assert k * equal == pytest.approx(3.92, abs=0.005)
    unequal = combined_uncertainty(np.array([1.0, 1.0, 1.0, 10.0]))
    assert unequal == pytest.approx(10.1489, abs=5e-5)
    assert k * unequal == pytest.approx(19.89, abs=0.005)


@pytest.mark.parametrize(
    ("freedom", "k"), [(4, 2.87), (5, 2.65), (8, 2.37), (10, 2.28), (20, 2.13), (50, 2.05)]
)
def test_coverage_factors_are_those_of_table_g_2(freedom: int, k: float) -> None:
    assert coverage_factor(freedom, probability=0.9545) == pytest.approx(k, abs=0.005)


def test_the_breakdown_voltage_conforms_with_the_guide_s_probability() -> None:
    # JCGM 106:2012, clause 7: y = -5.47 V, u = 0.05 V, limit -5.40 V
    got = conformance_probability(-5.47, standard_uncertainty=0.05, upper=-5.40)
    assert got == pytest.approx(0.91924, abs=5e-6)


@pytest.mark.parametrize(("guard", "probability"), [(1.0, 0.97725), (0.83, 0.95154)])
def test_what_is_just_accepted_conforms_with_the_probability_of_its_guard_band(
    guard: float, probability: float
) -> None:
    # JCGM 106:2012, clause 8: acceptance limit = tolerance limit - guard U, U = 2 u
    u, limit = 0.05, 6.5
    mask = MaskLines(upper=limit)
    edge = limit - guard * 2 * u
    for value, verdict in (
        (edge - 1e-9, Verdict.CONFORMS),
        (edge + 1e-9, Verdict.NOT_DECIDED),
        (limit + guard * 2 * u - 1e-9, Verdict.NOT_DECIDED),
        (limit + guard * 2 * u + 1e-9, Verdict.DOES_NOT_CONFORM),
    ):
        number = Number(value=value, unit="ohm", uncertainty=2 * u)
        assert judge_number(number, mask=mask, guard=guard).verdict is verdict
    got = conformance_probability(edge, standard_uncertainty=u, upper=limit)
    assert got == pytest.approx(probability, abs=5e-6)
