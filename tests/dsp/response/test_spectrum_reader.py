import numpy as np
from hypothesis import given
from hypothesis import strategies as st

from dsp.response.spectrum_reader import spectrum_reader

RATE = 48_000.0


@given(at=st.integers(0, 3000), seed=st.integers(0, 2**32))
def test_any_frequency_is_read_as_the_sum_itself_would_give_it(at: int, seed: int) -> None:
    rng = np.random.default_rng(seed)
    time = np.arange(4000) - at
    samples = rng.standard_normal(4000) * np.where(time >= 0, np.exp(-time / 400), 0.0)
    frequency = np.concatenate([np.geomspace(5, 23_990, 50), [1.0, 24_000.0]])
    expected = np.exp(-2j * np.pi * np.outer(frequency / RATE, time)) @ samples
    reader = spectrum_reader(
        before=at, after=4000 - at, sample_rate_hz=RATE, frequency_hz=frequency
    )
    size = np.sqrt(np.sum(samples**2))
    np.testing.assert_allclose(reader.read(samples), expected, rtol=0, atol=3e-5 * size)
    single = reader.read(samples.astype(np.float32))
    np.testing.assert_allclose(single, expected, rtol=0, atol=3e-5 * size)
