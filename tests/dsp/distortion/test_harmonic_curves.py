"""Harmonics and their sums: closed forms, noise of known size, and where they end."""

from collections.abc import Sequence

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from dsp import DspError, Floats
from dsp.distortion.harmonic_curves import harmonic_curve, high_order, thd
from dsp.response.harmonics import Harmonics

HZ = np.array([50.0, 100.0, 200.0, 400.0])


def pressure(
    amplitudes: Sequence[float | Floats], *, noise: float = 0.0, hz: Floats = HZ
) -> Harmonics:
    """Rows of a constant, or of values over frequency; phases that must not matter."""
    rows = np.array([np.broadcast_to(a, hz.shape) for a in amplitudes], dtype=np.complex128)
    turn = np.exp(1j * np.arange(rows.size).reshape(rows.shape))
    return Harmonics(frequency_hz=hz, amplitude=rows * turn, noise=np.full(rows.shape, noise))


def noisy(truth: list[float], *, noise: float, takes: int, seed: int) -> Harmonics:
    """Many takes of one unit side by side, as if they were frequencies."""
    rng = np.random.default_rng(seed)
    clean = pressure(list(truth), hz=np.arange(1.0, takes + 1))
    shape = clean.amplitude.shape
    dust = noise * (rng.standard_normal(shape) + 1j * rng.standard_normal(shape))
    return Harmonics(
        frequency_hz=clean.frequency_hz,
        amplitude=clean.amplitude + dust,
        noise=np.full(shape, noise),
    )


def test_a_harmonic_is_a_level_re_the_fundamental_at_the_fundamental_s_frequency() -> None:
    got = harmonic_curve(pressure([0.5, 0.005, 0.0005]), order=3)
    np.testing.assert_allclose(got.value, -60, atol=1e-9)
    np.testing.assert_array_equal(got.frequency_hz, HZ)
    assert got.unit == "dB"
    assert got.is_bound is not None
    assert not got.is_bound.any()


def test_powers_add_and_neither_percent_nor_decibels() -> None:
    # -40, -50, -60 dB: sqrt(1e-4 + 1e-5 + 1e-6)
    got = thd(pressure([1, 1e-2, 10**-2.5, 1e-3]), orders=[2, 3, 4])
    np.testing.assert_allclose(got.value, 1.05356538, rtol=1e-8)
    assert got.unit == "%"


def test_six_high_orders_at_minus_70_db_sum_to_minus_62_2_db() -> None:
    got = high_order(pressure([1.0] + [0.0] * 8 + [10**-3.5] * 6), orders=range(10, 16))
    np.testing.assert_allclose(got.value, 0.0774597, rtol=1e-6)


def test_thd_refers_to_the_fundamental_and_not_to_the_whole() -> None:
    got = thd(pressure([1.0, 1.0]), orders=[2])
    np.testing.assert_allclose(got.value, 100, rtol=1e-12)  # 70.71 % re the whole signal
    assert "THD_F" in got.how


@given(
    gain=st.floats(1e-6, 1e3),
    second=st.floats(1e-4, 1),
    third=st.floats(1e-4, 1),
    noise=st.floats(0, 0.1),
)
def test_a_gain_in_the_chain_changes_no_ratio(
    *, gain: float, second: float, third: float, noise: float
) -> None:
    a = thd(pressure([1, second, third], noise=noise), orders=[2, 3])
    b = thd(pressure([gain, gain * second, gain * third], noise=gain * noise), orders=[3, 2])
    np.testing.assert_allclose(b.value, a.value, rtol=1e-6)
    assert a.uncertainty is not None
    assert b.uncertainty is not None
    # The square of noise below 1e-154 is no number any more.
    np.testing.assert_allclose(b.uncertainty, a.uncertainty, rtol=1e-6, atol=1e-150)


# Noise


def test_ten_decibels_above_the_noise_a_harmonic_is_read_and_below_it_is_a_bound() -> None:
    # Noise of 1e-3 in either part has the power 2e-6; ten times that is 4.472e-3 squared.
    for amplitude, hidden in ((4.48e-3, False), (4.46e-3, True)):
        got = harmonic_curve(pressure([1, amplitude], noise=1e-3), order=2)
        assert got.is_bound is not None
        assert got.is_bound.tolist() == [hidden] * HZ.size


def test_an_upper_bound_holds_in_the_share_of_takes_it_promises() -> None:
    noise = 1e-3
    for truth in (0.0, 1e-3, 2e-3, 3e-3):
        takes = noisy([1, truth, truth / 2, truth / 3], noise=noise, takes=4000, seed=7)
        for got in (harmonic_curve(takes, order=2), thd(takes, orders=[2, 3, 4])):
            whole = truth * np.sqrt(1 + 1 / 4 + 1 / 9) if got.unit == "%" else truth
            ratio = got.value / 100 if got.unit == "%" else 10 ** (got.value / 20)
            assert got.is_bound is not None
            held = np.mean(ratio[got.is_bound] >= whole)
            # 0.977, less four standard errors of 4000 takes
            assert held > 0.977 - 4 * np.sqrt(0.977 * 0.023 / 4000)


def test_a_bound_allows_for_a_fundamental_that_is_itself_uncertain() -> None:
    # Largest harmonic over smallest fundamental, either two standard deviations off.
    got = harmonic_curve(pressure([0.1, 0.02], noise=0.01), order=2)
    assert got.is_bound is not None
    assert got.is_bound.all()
    assert np.all(10 ** (got.value / 20) >= (0.02 + 0.02) / (0.1 - 0.02))


@pytest.mark.parametrize("orders", [[2], [2, 3, 4], list(range(2, 11))])
def test_an_interval_holds_the_truth_in_95_of_100_takes(orders: list[int]) -> None:
    truth = [1.0] + [1e-2 / n for n in range(2, 11)]
    takes = noisy(truth, noise=4e-4, takes=20_000, seed=3)
    got = thd(takes, orders=orders)
    whole = 100 * np.sqrt(sum(truth[n - 1] ** 2 for n in orders))
    assert got.uncertainty is not None
    assert got.is_bound is not None
    assert not got.is_bound.any()
    held = np.mean(np.abs(got.value - whole) <= got.uncertainty)
    assert 0.945 < held < 0.964  # k = 2: 0.9545 for a normal error


@pytest.mark.parametrize("orders", [[2], [2, 3], list(range(2, 11))])
def test_noise_makes_a_sum_scatter_but_not_read_high(orders: list[int]) -> None:
    truth = [1.0] + [3e-3] * 9
    takes = noisy(truth, noise=4e-4, takes=40_000, seed=5)
    got = thd(takes, orders=orders)
    whole = 100 * np.sqrt(len(orders)) * 3e-3
    # Left alone, nine orders read 1.5 % high, one 0.9 %; the standard error here is 0.07 %.
    assert np.mean(got.value) / whole - 1 == pytest.approx(0, abs=2.5e-3)


def test_the_uncertainty_of_the_chain_joins_that_of_the_noise() -> None:
    got = harmonic_curve(pressure([1, 0.1], noise=1e-3), order=2, ratio_uncertainty_db=0.3)
    assert got.uncertainty is not None
    noise_db = 2 * 8.685889638 * np.hypot(1e-2, 1e-3)
    np.testing.assert_allclose(got.uncertainty, np.hypot(noise_db, 0.3), rtol=1e-4)


def test_nothing_at_all_is_a_bound_and_not_minus_infinity() -> None:
    got = harmonic_curve(pressure([1, 0.0]), order=2)
    assert got.is_bound is not None
    assert got.is_bound.all()
    np.testing.assert_allclose(got.value, -240, atol=1e-9)


# Where it ends


def test_thd_is_valid_as_far_as_its_highest_order_can_be_read() -> None:
    third = np.array([1e-2, 1e-2, np.nan, np.nan])
    second = np.array([1e-2, 1e-2, 1e-2, np.nan])
    got = thd(pressure([1.0, second, third]), orders=[2, 3])
    assert (got.valid.low_hz, got.valid.high_hz) == (50, 100)
    assert (got.valid.low_reason, got.valid.high_reason) == ("excitation", "order 3")
    # It goes on with what is there, and ends where nothing is.
    np.testing.assert_allclose(got.value[:3], [np.sqrt(2), np.sqrt(2), 1], rtol=1e-12)
    assert np.isnan(got.value[3])


def test_an_order_that_was_never_read_leaves_the_sum_valid_nowhere() -> None:
    got = thd(pressure([1.0, 0.1]), orders=[2, 3])
    assert got.valid.low_hz > got.valid.high_hz
    assert got.valid.low_reason == "order 3"
    np.testing.assert_allclose(got.value, 10)


def test_without_a_fundamental_there_is_no_distortion_to_state() -> None:
    # Full-wave rectified sine: second harmonic 4 / (3 pi), no fundamental but rounding.
    for first in (0.0, 1e-17):
        got = thd(pressure([first, 0.42441318]), orders=[2])
        assert np.isnan(got.value).all()
        assert got.valid.low_reason == "no fundamental"


def test_a_fundamental_in_the_noise_carries_no_ratio() -> None:
    first = np.array([1.0, 1.0, 1.0, 2e-3])
    got = thd(pressure([first, 0.1], noise=1e-3), orders=[2])
    assert np.isnan(got.value).tolist() == [False, False, False, True]
    assert (got.valid.high_hz, got.valid.high_reason) == (200, "no fundamental")


@pytest.mark.parametrize("orders", [[], [1, 2], [2, 2]])
def test_orders_that_make_no_distortion_are_refused(orders: list[int]) -> None:
    with pytest.raises(DspError, match="thd: orders: given"):
        thd(pressure([1, 0.1]), orders=orders)
    with pytest.raises(DspError, match="high_order: orders: given"):
        high_order(pressure([1, 0.1]), orders=orders)


def test_the_fundamental_is_no_harmonic_of_itself() -> None:
    with pytest.raises(DspError, match="harmonic_curves: orders"):
        harmonic_curve(pressure([1, 0.1]), order=1)
