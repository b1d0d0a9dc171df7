import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from dsp import DspError
from dsp.statistics.combine import combined_uncertainty, covariance_of_means, propagated_covariance

some = st.lists(st.floats(0, 100), min_size=2, max_size=6)


def test_independent_contributions_add_in_squares() -> None:
    got = combined_uncertainty(np.array([3.0, 4.0]))
    assert got == pytest.approx(5)
    weighted = combined_uncertainty(np.array([3.0, 4.0]), sensitivity=np.array([2.0, -2.0]))
    assert weighted == pytest.approx(10)


@given(u=some)
def test_fully_correlated_contributions_add_as_they_are(u: list[float]) -> None:
    ones = np.ones((len(u), len(u)))
    got = combined_uncertainty(np.array(u), correlation=ones)
    assert got == pytest.approx(sum(u), rel=1e-9, abs=1e-9)


@given(u=some, r=st.floats(0, 1))
def test_what_hangs_together_adds_to_no_less_than_what_does_not(u: list[float], r: float) -> None:
    n = len(u)
    matrix = np.full((n, n), r) + (1 - r) * np.eye(n)
    loose = combined_uncertainty(np.array(u))
    bound = combined_uncertainty(np.array(u), correlation=matrix)
    assert bound >= loose - 1e-9
    assert combined_uncertainty(np.array(u), correlation=np.eye(n)) == pytest.approx(loose)


def test_opposite_errors_of_one_cause_cancel() -> None:
    got = combined_uncertainty(
        np.array([1.0, 1.0]), sensitivity=np.array([1.0, -1.0]), correlation=np.ones((2, 2))
    )
    assert got == pytest.approx(0, abs=1e-12)


def test_each_place_of_a_curve_has_its_own_budget() -> None:
    u = np.array([[3.0, 5.0, 8.0], [4.0, 12.0, 15.0]])
    np.testing.assert_allclose(combined_uncertainty(u), [5, 13, 17])
    matrix = np.array([[1.0, 1.0], [1.0, 1.0]])
    np.testing.assert_allclose(combined_uncertainty(u, correlation=matrix), [7, 17, 23])


def test_a_result_without_slope_is_refused_and_not_called_exact() -> None:
    # x1^2 + x2^2 at zero: its slope is zero, its uncertainty is not (JCGM 101:2008, 9.4).
    with pytest.raises(DspError, match="first order does not answer"):
        combined_uncertainty(np.array([0.005, 0.005]), sensitivity=np.zeros(2))


@pytest.mark.parametrize(
    "matrix",
    [np.eye(3), np.array([[1, 0.5], [0.4, 1]]), np.array([[2.0, 0], [0, 1]]),
     np.array([[1, 1.2], [1.2, 1]])],
)  # fmt: skip
def test_what_is_no_correlation_matrix_is_refused(matrix: np.ndarray) -> None:
    with pytest.raises(DspError, match="not a correlation matrix"):
        combined_uncertainty(np.array([1.0, 1.0]), correlation=matrix)


def test_a_negative_uncertainty_is_refused() -> None:
    with pytest.raises(DspError, match="standard uncertainties"):
        combined_uncertainty(np.array([1.0, -1.0]))


def test_one_result_carried_by_its_jacobian_is_the_combined_uncertainty() -> None:
    u, r = np.array([0.2, 0.5]), -0.3
    covariance = np.array([[u[0] ** 2, r * u[0] * u[1]], [r * u[0] * u[1], u[1] ** 2]])
    carried = propagated_covariance(covariance, jacobian=np.array([[2.0, 7.0]]))
    alone = combined_uncertainty(
        u, sensitivity=np.array([2.0, 7.0]), correlation=np.array([[1, r], [r, 1]])
    )
    assert carried[0, 0] == pytest.approx(float(alone) ** 2)


def test_shapes_that_do_not_fit_are_refused() -> None:
    with pytest.raises(DspError, match="shapes differ"):
        propagated_covariance(np.eye(3), jacobian=np.ones((1, 2)))


def test_means_of_readings_are_as_sure_as_their_spread_over_the_root_of_their_number() -> None:
    readings = np.array([[1.0, 2.0, 3.0, 4.0]])  # s^2 = 5/3
    assert covariance_of_means(readings)[0, 0] == pytest.approx(5 / 12)
    with pytest.raises(DspError, match="too few readings"):
        covariance_of_means(np.ones((3, 1)))
