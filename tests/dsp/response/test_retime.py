import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from dsp import DspError
from dsp.response.retime import retime


@given(start=st.integers(0, 500), length=st.integers(1, 400))
def test_a_whole_start_without_offset_is_an_exact_copy(start: int, length: int) -> None:
    channel = np.random.default_rng(1).standard_normal(900)
    got = retime(channel, start_sample=float(start), clock_offset_ppm=0.0, length=length)
    np.testing.assert_array_equal(got, channel[start : start + length])


def test_what_the_recording_does_not_hold_is_zero() -> None:
    got = retime(np.ones(10), start_sample=-3.0, clock_offset_ppm=0.0, length=20)
    np.testing.assert_array_equal(got, np.r_[np.zeros(3), np.ones(10), np.zeros(7)])


@pytest.mark.parametrize("offset_ppm", [0.0, 5.0, -300.0, 1000.0])
@pytest.mark.parametrize("hz", [50.0, 1000.0, 20_000.0])
def test_tones_up_to_20_khz_keep_level_and_phase(hz: float, offset_ppm: float) -> None:
    rate, length, start = 44_100.0, 16_000, 321.37
    turn = 2 * np.pi * hz / rate
    channel = np.cos(turn * np.arange(17_000))
    got = retime(channel, start_sample=start, clock_offset_ppm=offset_ppm, length=length)
    place = start + np.arange(length) * (1 + 1e-6 * offset_ppm)
    # Away from the cut ends, where the tone itself is cut; 0.0005 dB is 5.8e-5.
    inner = slice(2000, 14_000)
    reference = np.exp(1j * turn * place)[inner]
    window = np.hanning(12_000)
    ratio = np.sum(window * got[inner] * reference.conj()) / np.sum(window) * 2
    assert 20 * np.log10(abs(ratio)) == pytest.approx(0.0, abs=0.0005)
    assert np.degrees(np.angle(ratio)) == pytest.approx(0.0, abs=0.005)
    assert np.max(np.abs(got[inner] - reference.real)) < 3e-4


def test_a_start_behind_the_recording_is_refused() -> None:
    with pytest.raises(DspError, match="retime: nothing of the recording left"):
        retime(np.ones(10), start_sample=10.0, clock_offset_ppm=0.0, length=5)
