import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from dsp.response.impulse import ImpulseResponse, response_at

RATE = 48_000.0


@given(at=st.integers(0, 3000), seed=st.integers(0, 2**32))
def test_any_frequency_is_read_as_the_sum_itself_would_give_it(at: int, seed: int) -> None:
    rng = np.random.default_rng(seed)
    time = np.arange(4000) - at
    samples = rng.standard_normal(4000) * np.where(time >= 0, np.exp(-time / 400), 0.0)
    impulse = ImpulseResponse(
        samples=samples, sample_rate_hz=RATE, zero_index=at - 144, arrival_index=at
    )
    frequency = np.concatenate([np.geomspace(5, 23_990, 50), [1.0, 24_000.0]])
    turn = np.exp(-2j * np.pi * np.outer(frequency / RATE, np.arange(4000) - (at - 144)))
    expected = turn @ samples
    got = response_at(impulse, frequency_hz=frequency)
    np.testing.assert_allclose(got, expected, rtol=0, atol=1e-5 * np.sqrt(np.sum(samples**2)) * 3)


def test_an_impulse_between_time_zero_and_the_window_turns_with_its_delay() -> None:
    impulse = ImpulseResponse(
        samples=np.array([0.0, 1.0, 0.0]), sample_rate_hz=RATE, zero_index=-47, arrival_index=1
    )
    got = response_at(impulse, frequency_hz=np.array([1000.0]))
    assert got[0] == pytest.approx(np.exp(-2j * np.pi * 1000 * 0.001))
    np.testing.assert_allclose(impulse.time_s, np.array([47, 48, 49]) / RATE)
