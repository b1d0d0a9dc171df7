import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from dsp.response.harmonic_fit import harmonic_fit


def test_the_worked_vector_of_a_three_parameter_fit_comes_back() -> None:
    # IEEE Std 1057: 48 kHz, 480 samples, 1 kHz, amplitude 1.25, 30 degrees, offset -0.1
    n = np.arange(480)
    wave = 1.25 * np.cos(2 * np.pi * n / 48 + np.pi / 6) - 0.1
    got = harmonic_fit([wave], cycles_a_sample=np.array([1 / 48]), orders=1)
    at_start = got.phasor[0, 0] * np.exp(-2j * np.pi / 48 * 479 / 2)
    assert abs(at_start - 1.25 * np.exp(1j * np.pi / 6)) < 1e-12
    assert np.max(np.abs(got.residuals[0])) < 1e-12


@settings(deadline=None, max_examples=40)
@given(
    samples=st.integers(200, 3000),
    periods=st.floats(2.0, 30.0),
    orders=st.integers(1, 20),
    seed=st.integers(0, 1000),
)
def test_it_is_the_least_squares_solution_at_any_length_and_frequency(
    *, samples: int, periods: float, orders: int, seed: int
) -> None:
    rng = np.random.default_rng(seed)
    wave = rng.standard_normal(samples)
    cycles = periods / samples
    got = harmonic_fit([wave], cycles_a_sample=np.array([cycles]), orders=orders)
    k = min(orders, int(0.47 / cycles + 1e-9))
    assert got.orders[0] == k
    angle = (
        2 * np.pi * cycles * np.outer(np.arange(samples) - (samples - 1) / 2, np.arange(1, k + 1))
    )
    basis = np.hstack([np.ones((samples, 1)), np.cos(angle), np.sin(angle)])
    wanted = np.linalg.lstsq(basis, wave, rcond=None)[0]
    np.testing.assert_allclose(
        got.phasor[0, :k], wanted[1 : k + 1] - 1j * wanted[k + 1 :], rtol=0, atol=1e-9
    )
    np.testing.assert_allclose(got.residuals[0], wave - basis @ wanted, rtol=0, atol=1e-9)
    spread = np.diag(np.linalg.inv(basis.T @ basis))
    both = np.sqrt((spread[1 : k + 1] + spread[k + 1 :]) / 2)
    np.testing.assert_allclose(got.spread[0, :k], both, rtol=1e-6)


def test_a_tone_without_room_for_its_fundamental_has_no_orders() -> None:
    got = harmonic_fit(
        [np.ones(100), np.ones(100)], cycles_a_sample=np.array([0.48, 0.1]), orders=3
    )
    np.testing.assert_array_equal(got.orders, [0, 3])
    assert got.phasor[0] == pytest.approx(np.zeros(3))
