"""Statistics of the line against the examples and tables that are printed for them."""

import numpy as np
import pytest

from dsp import Floats
from dsp.conformity.global_risk import GlobalRisk, global_risk
from dsp.statistics.capability import capability
from dsp.statistics.chart_constants import chart_constants
from dsp.statistics.conformance import conformance_probability
from dsp.statistics.control_chart import p_chart
from dsp.statistics.crossed_study import crossed_study
from dsp.statistics.order_limits import units_needed
from dsp.statistics.proportion import proportion
from dsp.statistics.tolerance import tolerance_factor

# AIAG, Measurement Systems Analysis, 4th ed. 2010, chapter III: the worked example. Appraiser,
# trial, part.
READINGS = np.array(
    [
        [
            [0.29, -0.56, 1.34, 0.47, -0.80, 0.02, 0.59, -0.31, 2.26, -1.36],
            [0.41, -0.68, 1.17, 0.50, -0.92, -0.11, 0.75, -0.20, 1.99, -1.25],
            [0.64, -0.58, 1.27, 0.64, -0.84, -0.21, 0.66, -0.17, 2.01, -1.31],
        ],
        [
            [0.08, -0.47, 1.19, 0.01, -0.56, -0.20, 0.47, -0.63, 1.80, -1.68],
            [0.25, -1.22, 0.94, 1.03, -1.20, 0.22, 0.55, 0.08, 2.12, -1.62],
            [0.07, -0.68, 1.34, 0.20, -1.28, 0.06, 0.83, -0.34, 2.19, -1.50],
        ],
        [
            [0.04, -1.38, 0.88, 0.14, -1.46, -0.29, 0.02, -0.46, 1.77, -1.49],
            [-0.11, -1.13, 1.09, 0.20, -1.07, -0.67, 0.01, -0.56, 1.45, -1.77],
            [-0.15, -0.96, 0.67, 0.11, -1.45, -0.49, 0.21, -0.49, 1.87, -2.16],
        ],
    ]
)


def readings() -> Floats:
    """Part, appraiser, trial."""
    return READINGS.transpose(2, 0, 1)


def test_the_gauge_study_of_the_manual_comes_out_to_its_digits() -> None:
    found = crossed_study(readings())
    squares = found.squares
    sums = [squares.operator, squares.part, squares.interaction, squares.repeat, squares.total]
    # As printed there, recomputed to six places from the same readings.
    np.testing.assert_allclose(
        sums, [3.167262, 88.361934, 0.358982, 2.758933, 94.647112], atol=1e-6
    )
    assert found.interaction_f == pytest.approx(0.43372, abs=5e-6)
    assert found.interaction_p == pytest.approx(0.9741, abs=5e-5)
    assert found.pooled
    shares = found.shares
    parts = [shares.repeatability, shares.reproducibility, shares.gauge, shares.part, shares.total]
    np.testing.assert_allclose(parts, [0.199933, 0.226838, 0.302372, 1.042327, 1.085300], atol=1e-6)
    percent = 100 * np.array(parts[:4]) / shares.total
    np.testing.assert_allclose(percent, [18.42, 20.90, 27.86, 96.04], atol=0.005)
    assert found.categories == 4  # 4.86, cut and not rounded


def test_the_gauge_study_that_keeps_its_interaction_has_other_shares() -> None:
    shares = crossed_study(readings(), pool_above=1.0).shares
    np.testing.assert_allclose(
        [shares.repeatability, shares.reproducibility, shares.part],
        [0.214435, 0.228304, 1.043395],
        atol=1e-6,
    )
    assert shares.interaction == 0.0  # its mean square is below that of the repeats


def test_capability_is_that_of_the_handbook() -> None:
    # NIST/SEMATECH e-Handbook of Statistical Methods, 6.1.6.
    found = capability(mean=16.0, deviation=2.0, count=50, upper=20.0, lower=8.0)
    assert found.cp == pytest.approx(1.0, rel=1e-9)
    assert found.cpk == pytest.approx(2 / 3, rel=1e-9)
    assert found.outside == pytest.approx(2.278180e-2, rel=1e-6)


@pytest.mark.parametrize(
    ("cpk", "outside"),
    [(0.67, 2.2216e-2), (1.0, 1.3499e-3), (1.33, 3.3037e-5), (1.67, 2.7215e-7)],
)
def test_a_single_limit_leaves_the_share_of_its_capability_outside(
    cpk: float, outside: float
) -> None:
    found = capability(mean=0.0, deviation=1.0, count=30, upper=3 * cpk)
    assert found.cp is None
    assert found.outside == pytest.approx(outside, rel=5e-5)


def test_capability_of_fifty_units_is_known_to_a_fifth() -> None:
    # NIST/SEMATECH e-Handbook, 6.1.6: chi squared of 49.
    found = capability(mean=0.0, deviation=1.0, count=50, upper=3.99, lower=-3.99)
    assert (found.cp, found.cp_low, found.cp_high) == pytest.approx(
        (1.33, 1.0673, 1.5922), abs=5e-5
    )


@pytest.mark.parametrize(
    ("count", "one_side", "two_sides"),
    [
        (5, 4.2027, 5.0769),
        (8, 3.1873, 3.7455),
        (10, 2.9110, 3.3934),
        (15, 2.5660, 2.9649),
        (20, 2.3960, 2.7603),
        (25, 2.2917, 2.6377),
        (30, 2.2198, 2.5549),
        (50, 2.0650, 2.3816),
        (100, 1.9265, 2.2339),
    ],
)
def test_tolerance_factors_are_those_of_iso_16269_6(
    count: int, one_side: float, two_sides: float
) -> None:
    # ISO 16269-6:2014, 95 % of all units with 95 % confidence; not 1.96, whatever the count.
    for sides, wanted in ((1, one_side), (2, two_sides)):
        found = tolerance_factor(
            count, coverage=0.95, confidence=0.95, sides=1 if sides == 1 else 2
        )
        assert found == pytest.approx(wanted, abs=2e-4)


def test_so_many_units_hold_95_percent_between_their_outermost() -> None:
    # ISO 16269-6:2014, distribution-free intervals.
    assert units_needed(coverage=0.95, confidence=0.95) == 93
    assert units_needed(coverage=0.95, confidence=0.95, sides=1) == 59


@pytest.mark.parametrize(
    ("n", "printed"),
    [
        (2, (1.12838, 0.85250, 0.79788, 1.8800, 0.0, 3.2665)),
        (3, (1.69257, 0.88837, 0.88623, 1.0233, 0.0, 2.5746)),
        (4, (2.05875, 0.87981, 0.92132, 0.7286, 0.0, 2.2821)),
        (5, (2.32593, 0.86408, 0.93999, 0.5768, 0.0, 2.1145)),
        (8, (2.84720, 0.81983, 0.96503, 0.3725, 0.1362, 1.8638)),
        (10, (3.07751, 0.79705, 0.97266, 0.3083, 0.2230, 1.7770)),
    ],
)
def test_constants_of_control_charts_are_those_printed(n: int, printed: tuple[float, ...]) -> None:
    # ISO 7870-2:2023, table of factors; here to the digits of the integral.
    found = chart_constants(n)
    assert (found.d2, found.d3, found.c4) == pytest.approx(printed[:3], abs=5e-6)
    assert (found.a2, found.lower_range, found.upper_range) == pytest.approx(printed[3:], abs=5e-5)


@pytest.mark.parametrize(
    ("share", "size", "limits"),
    [(0.05, 200, (0.003767, 0.096233)), (0.02, 50, (0.0, 0.079397))],
)
def test_limits_of_shares_are_those_of_the_handbook(
    share: float, size: int, limits: tuple[float, float]
) -> None:
    # NIST/SEMATECH e-Handbook, 6.3.3.2: three deviations of a proportion, never below 0.
    counted = round(share * size)
    found = p_chart([counted, counted], [size, size])
    assert (found.lower[0], found.upper[0]) == pytest.approx(limits, abs=5e-7)


@pytest.mark.parametrize(
    ("count", "of", "interval"),
    [
        (0, 10, (0.0, 0.308497)),
        (1, 10, (0.002529, 0.445016)),
        (5, 10, (0.187086, 0.812914)),
        (0, 30, (0.0, 0.115703)),
        (0, 100, (0.0, 0.036217)),
        (1, 100, (0.000253, 0.054459)),
        (3, 100, (0.006230, 0.085176)),
        (5, 100, (0.016432, 0.112835)),
        (0, 300, (0.0, 0.012221)),
    ],
)
def test_shares_have_the_exact_interval(count: int, of: int, interval: tuple[float, float]) -> None:
    # C. J. Clopper, E. S. Pearson, Biometrika 26 (1934) 404: 95 %.
    found = proportion(count, of=of)
    assert (found.low, found.high) == pytest.approx(interval, abs=1e-6)


@pytest.mark.parametrize(
    ("distance", "probability"),
    [
        (0.0, 0.5),
        (0.5, 0.691462),
        (1.0, 0.841345),
        (1.645, 0.950015),
        (1.96, 0.975002),
        (2.0, 0.977250),
        (3.0, 0.998650),
    ],
)
def test_what_lies_inside_by_so_many_uncertainties_conforms_so_likely(
    distance: float, probability: float
) -> None:
    # JCGM 106:2012, 7.3: one limit.
    found = conformance_probability(-distance, standard_uncertainty=1.0, upper=0.0)
    assert found == pytest.approx(probability, abs=5e-7)


def deaver(ratio: float, share: float) -> GlobalRisk:
    """Limits two deviations from the middle; ``ratio`` is limit over expanded uncertainty."""
    return global_risk(
        middle=0.0,
        deviation=1.0,
        standard_uncertainty=1 / ratio,
        upper=2.0,
        lower=-2.0,
        accept_upper=2 * share,
        accept_lower=-2 * share,
    )


@pytest.mark.parametrize(
    ("ratio", "share", "accepted_bad", "rejected_good"),
    [
        (10, 1.0, 0.3810, 0.4892),
        (4, 1.0, 0.8006, 1.4851),
        (3, 1.0, 0.9755, 2.2034),
        (2, 1.0, 1.2389, 4.0527),
        (1, 1.0, 1.6564, 12.8363),
        (2, 0.91, 0.8052, 6.6106),
        (2, 0.866025, 0.6316, 8.2151),
        (4, 0.968246, 0.5852, 2.0641),
    ],
)
def test_global_risks_are_those_of_a_normal_product(
    ratio: float, share: float, accepted_bad: float, rejected_good: float
) -> None:
    # D. Deaver, Guardbanding with confidence, NCSL Workshop 1994 (0.8 % and 1.5 % at 4:1); JCGM
    # 106:2012, 9.5. In per cent of all units, not of the accepted ones.
    found = deaver(ratio, share)
    assert 100 * found.consumer == pytest.approx(accepted_bad, abs=2e-4)
    assert 100 * found.producer == pytest.approx(rejected_good, abs=2e-4)
    conditional = 100 * found.consumer / found.accepted
    assert conditional != pytest.approx(accepted_bad, abs=2e-4)


@pytest.mark.parametrize(
    ("accept", "consumer", "producer"),
    [(0.20, 0.018942, 0.037208), (0.16, 0.004334, 0.114657), (0.12, 0.000469, 0.247670)],
)
def test_a_lot_of_resistors_has_the_risks_of_its_acceptance_limits(
    accept: float, consumer: float, producer: float
) -> None:
    # In the manner of JCGM 106:2012, 9.5.4: two routes, quadrature and bivariate normal, agree.
    found = global_risk(
        middle=1500.0,
        deviation=0.12,
        standard_uncertainty=0.04,
        upper=1500.2,
        lower=1499.8,
        accept_upper=1500 + accept,
        accept_lower=1500 - accept,
    )
    assert found.consumer == pytest.approx(consumer, abs=2e-6)
    assert found.producer == pytest.approx(producer, abs=2e-6)


def test_global_risks_of_a_counted_lot() -> None:
    # 400 000 units, limits at 2.2 deviations, T/U = 3, guard 0.83: drawn, not integrated.
    rng = np.random.default_rng(106)
    true = rng.standard_normal(400_000)
    u = 2.2 / 3 / 2
    accepted = np.abs(true + u * rng.standard_normal(true.size)) <= 2.2 - 0.83 * 2 * u
    bad = np.abs(true) > 2.2
    found = global_risk(
        middle=0.0,
        deviation=1.0,
        standard_uncertainty=u,
        upper=2.2,
        lower=-2.2,
        accept_upper=2.2 - 0.83 * 2 * u,
        accept_lower=-2.2 + 0.83 * 2 * u,
    )
    for counted, risk in (
        ((bad & accepted).mean(), found.consumer),
        ((~bad & ~accepted).mean(), found.producer),
    ):
        error = np.sqrt(risk * (1 - risk) / true.size)
        assert counted == pytest.approx(float(risk), abs=4 * float(error))
