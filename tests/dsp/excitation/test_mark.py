import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from dsp import DspError
from dsp.excitation.mark import mark

RATE = 48_000.0


@given(low=st.floats(200, 2000), octaves=st.floats(1, 3), peak=st.floats(0.01, 50))
def test_it_keeps_to_its_band_its_peak_and_zero_mean(
    low: float, octaves: float, peak: float
) -> None:
    high = low * 2**octaves
    chirp = mark(sample_rate_hz=RATE, low_hz=low, high_hz=high, peak_v=peak)
    assert np.max(np.abs(chirp)) == pytest.approx(peak)
    assert abs(np.sum(chirp)) < 1e-9 * peak * chirp.size
    assert chirp[0] == chirp[-1] == 0.0
    power = np.abs(np.fft.rfft(chirp, 16_384)) ** 2
    f = np.fft.rfftfreq(16_384, 1 / RATE)
    outside = (f < low - 400) | (f > high + 400)
    assert np.sum(power[outside]) < 1e-3 * np.sum(power)


def test_a_band_of_less_than_three_periods_is_refused() -> None:
    with pytest.raises(DspError, match="low_hz too low: given 100, allowed from 200 Hz"):
        mark(sample_rate_hz=RATE, low_hz=100, high_hz=1000, peak_v=1.0)


def test_a_band_beyond_the_converters_is_refused() -> None:
    with pytest.raises(DspError, match="band"):
        mark(sample_rate_hz=RATE, low_hz=1000, high_hz=24_000, peak_v=1.0)
