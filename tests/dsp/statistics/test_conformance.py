import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from dsp import DspError
from dsp.statistics.conformance import conformance_probability


@pytest.mark.parametrize(
    ("inside_by", "probability"),
    [(0, 0.5), (0.5, 0.691462), (1, 0.841345), (1.645, 0.950015), (1.96, 0.975002), (2, 0.977250),
     (3, 0.998650)],
)  # fmt: skip
def test_inside_a_single_limit_it_is_the_normal_distribution(
    inside_by: float, probability: float
) -> None:
    got = conformance_probability(5 - inside_by * 0.1, standard_uncertainty=0.1, upper=5)
    assert got == pytest.approx(probability, abs=5e-7)


@given(value=st.floats(-5, 5), u=st.floats(0.01, 3), half=st.floats(0.1, 4))
def test_turned_upside_down_it_stays_and_inside_and_outside_make_one(
    value: float, u: float, half: float
) -> None:
    got = conformance_probability(value, standard_uncertainty=u, upper=half, lower=-half)
    turned = conformance_probability(-value, standard_uncertainty=u, upper=half, lower=-half)
    over = conformance_probability(value, standard_uncertainty=u, lower=half)
    under = conformance_probability(value, standard_uncertainty=u, upper=-half)
    assert got == pytest.approx(float(turned), rel=1e-9, abs=1e-300)
    assert got + over + under == pytest.approx(1)


def test_far_outside_it_is_small_and_not_zero() -> None:
    got = conformance_probability(0.0, standard_uncertainty=1.0, lower=20, upper=21)
    assert got == pytest.approx(2.753624e-89, rel=1e-6)  # normal tail beyond 20


def test_a_curve_is_answered_point_by_point() -> None:
    got = conformance_probability(np.zeros(3), standard_uncertainty=1.0, upper=np.array([-9, 0, 9]))
    np.testing.assert_allclose(got, [0, 0.5, 1], atol=1e-9)


def test_what_has_no_probability_is_refused() -> None:
    with pytest.raises(DspError, match="standard uncertainty: given 0"):
        conformance_probability(1.0, standard_uncertainty=0.0, upper=2)
    with pytest.raises(DspError, match="limits crossed"):
        conformance_probability(1.0, standard_uncertainty=1.0, upper=2, lower=3)
