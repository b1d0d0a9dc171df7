import numpy as np
import pytest

from dsp import Floats, ValidRange
from dsp.acoustic.valid_range import above_noise, valid_range
from dsp.response.harmonics import Harmonics
from tests.dsp.analytic_unit import log_frequencies, phasors, stepped_frequencies

HZ = log_frequencies()
ASKED = ValidRange(low_hz=20.0, high_hz=20_000.0)


def channel(signal: Floats, noise: Floats | float, hz: Floats = HZ) -> Harmonics:
    return phasors(hz, signal.astype(np.complex128), noise=noise)


def test_signal_to_noise_counts_both_parts_of_the_noise() -> None:
    # At 20 dB the magnitude is uncertain by 6.14 dB x 10^(-20/20): 0.614 dB standard.
    per_part = 0.1 / np.sqrt(2)
    for factor, holds in ((0.999, True), (1.001, False)):
        got = above_noise(channel(np.ones(HZ.size), per_part * factor), snr_db=20, excitation=ASKED)
        assert (got.low_hz < got.high_hz) == holds
    assert 20 / np.log(10) * per_part == pytest.approx(0.614, abs=5e-4)


def test_noise_ends_the_range_where_the_signal_falls_into_it() -> None:
    # 12 dB an octave below 100 Hz over even noise 40 dB below: 20 dB of it are left at 31.6 Hz.
    signal = np.minimum(1.0, (HZ / 100) ** 2)
    got = above_noise(channel(signal, 0.01 / np.sqrt(2)), snr_db=20, excitation=ASKED)
    assert got.low_hz == pytest.approx(100 * 10**-0.5, rel=0.04)
    assert (got.low_reason, got.high_hz, got.high_reason) == ("noise", HZ[-1], "excitation")


def test_one_lucky_or_unlucky_point_decides_nothing() -> None:
    signal = np.ones(HZ.size)
    signal[200] = 1e-3  # inside
    signal[:40] = 1e-4
    signal[20] = 0.03  # outside
    got = above_noise(channel(signal, 1e-3), snr_db=20, excitation=ASKED)
    assert HZ[34] <= got.low_hz <= HZ[40]
    assert got.high_hz == HZ[-1]


def test_the_span_around_the_strongest_part_is_kept() -> None:
    signal = np.where(HZ < 60, 0.3, np.where(HZ < 300, 1e-4, 1.0))
    got = above_noise(channel(signal, 1e-3), snr_db=20, excitation=ASKED)
    assert got.low_hz == pytest.approx(300, rel=0.13)
    assert got.low_reason == "noise"


def test_noise_everywhere_leaves_nothing() -> None:
    got = above_noise(channel(np.ones(HZ.size), 1.0), snr_db=20, excitation=ASKED)
    assert not got.holds(HZ).any()
    assert got.low_reason == "noise"
    dead = above_noise(channel(np.zeros(HZ.size), 1.0), snr_db=20, excitation=ASKED)
    assert not dead.holds(HZ).any()


def test_the_strictest_limit_gives_the_reason() -> None:
    strong = channel(np.ones(HZ.size), 1e-6)
    free = valid_range(strong, snr_db=20, excitation=ASKED, sample_rate_hz=48_000)
    assert (free.low_hz, free.high_hz) == pytest.approx((20.0, 20_000.0))
    assert (free.low_reason, free.high_reason) == ("excitation", "excitation")
    gated = valid_range(strong, snr_db=20, excitation=ASKED, sample_rate_hz=32_000, gate_s=0.005)
    assert (gated.low_hz, gated.high_hz) == pytest.approx((400.0, 15_040.0))  # 2 / T, 0.47 fs
    assert (gated.low_reason, gated.high_reason) == ("gate", "Nyquist")
    table = ValidRange(
        low_hz=30.0, high_hz=16_000.0, low_reason="microphone", high_reason="microphone"
    )
    heard = valid_range(
        strong, snr_db=20, excitation=ASKED, sample_rate_hz=48_000, microphone=table
    )
    assert (heard.low_reason, heard.high_hz) == ("microphone", 16_000.0)


def test_twenty_kilohertz_hold_at_44_1_khz() -> None:
    strong = channel(np.ones(HZ.size), 1e-6)
    got = valid_range(strong, snr_db=20, excitation=ASKED, sample_rate_hz=44_100)
    assert got.high_hz == pytest.approx(20_000.0)


def test_points_that_could_not_be_read_end_it() -> None:
    hz = stepped_frequencies()
    signal = np.where(hz > 15_000, np.nan, 1.0)
    got = above_noise(channel(signal, 1e-3, hz), snr_db=20, excitation=ASKED)
    assert got.high_hz == hz[hz <= 15_000][-1]
