"""Small definitions that are easily got wrong: means of levels, aligned masks, guard bands.

Sources: mean sound pressure level as in IEC 60268-5 (definition from memory; the power mean itself
is a closed form); level-aligned mask by its definition here; JCGM 106:2012, clauses 7 and 8.
"""

import numpy as np
import pytest

from dsp import Curve, Floats, Number, ValidRange
from dsp.acoustic.sensitivity import sensitivity
from dsp.conformity.judge import judge_curve, judge_number
from dsp.conformity.mask import MaskLines
from dsp.conformity.verdict import Verdict
from dsp.statistics.conformance import conformance_probability


def curve(hz: Floats, value: list[float], *, uncertainty: float = 0.0) -> Curve:
    return Curve(
        frequency_hz=hz,
        value=np.array(value),
        unit="dB re 20 µPa",
        uncertainty=np.full(hz.size, uncertainty),
        valid=ValidRange(low_hz=float(hz[0]), high_hz=float(hz[-1])),
    )


def test_six_levels_average_by_power_to_89_21_db_and_not_by_decibel() -> None:
    hz = np.array([200.0, 400.0, 800.0, 1600.0, 3150.0, 6300.0])
    levels = curve(hz, [85.0, 88.0, 90.0, 91.0, 90.0, 89.0])
    got = sensitivity(levels, level_v=2.83, level_distance_m=1.0, at_hz=list(hz)).value
    assert got == pytest.approx(89.208569, abs=5e-7)
    assert abs(got - 88.8333) > 0.3


def test_a_mask_aligned_by_level_forgives_the_offset_and_keeps_the_shape() -> None:
    # Deviations +0.5, +0.9, +0.1 against +-1: mean 0.5 taken out, worst 0.4, margin 0.6.
    hz = np.array([500.0, 1000.0, 2000.0])
    mask = MaskLines(upper=((500.0, 91.0), (2000.0, 91.0)), lower=((500.0, 89.0), (2000.0, 89.0)))
    off = curve(hz, [90.5, 90.9, 90.1])
    aligned = judge_curve(off, mask=mask, align=True)
    assert aligned.margin == pytest.approx(0.6, abs=1e-9)
    assert judge_curve(off, mask=mask).margin == pytest.approx(0.1, abs=1e-9)  # not aligned
    loud = judge_curve(curve(hz, [100.5, 100.9, 100.1]), mask=mask, align=True)
    assert loud.margin == pytest.approx(0.6, abs=1e-9)
    assert loud.verdict is Verdict.CONFORMS


@pytest.mark.parametrize(
    ("inside", "probability"),
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
def test_a_distance_from_the_limit_has_its_probability_of_conformance(
    inside: float, probability: float
) -> None:
    u = 0.3
    below = conformance_probability(5.0 - inside * u, standard_uncertainty=u, upper=5.0)
    above = conformance_probability(5.0 + inside * u, standard_uncertainty=u, lower=5.0)
    outside = conformance_probability(5.0 + inside * u, standard_uncertainty=u, upper=5.0)
    assert (below, above) == pytest.approx((probability, probability), abs=5e-7)
    assert outside == pytest.approx(1 - probability, abs=5e-7)


def test_between_two_limits_both_tails_count() -> None:
    # Phi((TU - y) / u) - Phi((TL - y) / u): +-2 u 0.9545, +-1 u 0.6827
    got = [
        conformance_probability(0.0, standard_uncertainty=1.0, upper=w, lower=-w) for w in (2, 1)
    ]
    assert got == pytest.approx([0.954500, 0.682689], abs=5e-7)


@pytest.mark.parametrize("margin", [0.21, 0.19, 0.0, -0.19, -0.21])
def test_turning_the_margin_round_turns_the_verdict_round(margin: float) -> None:
    # w = U = 0.2: inside by w conforms, outside by w does not, between is not decided.
    def verdict(distance: float, *, upper: bool) -> Verdict:
        mask = MaskLines(upper=10.0) if upper else MaskLines(lower=10.0)
        value = 10.0 - distance if upper else 10.0 + distance
        return judge_number(
            Number(value=value, unit="dB", uncertainty=0.2), mask=mask, guard=1.0
        ).verdict

    turned = {
        Verdict.CONFORMS: Verdict.DOES_NOT_CONFORM,
        Verdict.DOES_NOT_CONFORM: Verdict.CONFORMS,
        Verdict.NOT_DECIDED: Verdict.NOT_DECIDED,
    }
    wanted = {0.21: Verdict.CONFORMS, -0.21: Verdict.DOES_NOT_CONFORM}
    for upper in (True, False):
        assert verdict(margin, upper=upper) is wanted.get(margin, Verdict.NOT_DECIDED)
        assert verdict(-margin, upper=upper) is turned[verdict(margin, upper=upper)]


def test_limits_closer_than_two_guard_bands_let_nothing_conform() -> None:
    mask = MaskLines(upper=10.1, lower=9.9)
    got = judge_number(Number(value=10.0, unit="dB", uncertainty=0.2), mask=mask, guard=1.0)
    assert got.verdict is Verdict.NOT_DECIDED
    assert "narrower than two guard bands" in got.reason
