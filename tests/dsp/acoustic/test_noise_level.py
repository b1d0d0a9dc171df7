import numpy as np
import pytest

from dsp import DspError, Floats
from dsp.acoustic.noise_level import noise_level

RATE = 48_000.0


def white(seconds: float, *, pa: float, seed: int = 1) -> Floats:
    rng = np.random.default_rng(seed)
    return np.asarray(pa * rng.standard_normal(round(seconds * RATE)))


def test_bands_of_white_noise_hold_its_share_of_the_power() -> None:
    # Power spread evenly to fs / 2: a band of width B holds B / (fs / 2) of it.
    got = noise_level(white(4.0, pa=0.02), sample_rate_hz=RATE).bands
    edge = 10**0.05
    wide = got.frequency_hz * (edge - 1 / edge)
    truth = 20 * np.log10(0.02 / 20e-6) + 10 * np.log10(wide / (RATE / 2))
    np.testing.assert_array_less(np.abs(got.value - truth), 4 * 4.343 / np.sqrt(wide * 4.0))
    assert got.frequency_hz[got.frequency_hz > 990][0] == pytest.approx(1000.0)
    assert got.frequency_hz[-1] == pytest.approx(19_952.6231)  # IEC 61260-1, exact


def test_octave_above_octave_white_noise_rises_by_3_db() -> None:
    values = [
        noise_level(white(1.0, pa=1.0, seed=n), sample_rate_hz=RATE).bands.value for n in range(20)
    ]
    mean = np.mean(values, axis=0)
    assert mean[-1] - mean[-4] == pytest.approx(3.0, abs=0.1)


def test_intervals_hold_the_truth_in_95_of_100() -> None:
    inside = []
    edge = 10**0.05
    for seed in range(40):
        got = noise_level(white(0.5, pa=0.01, seed=seed), sample_rate_hz=RATE).bands
        wide = got.frequency_hz * (edge - 1 / edge)
        truth = 20 * np.log10(0.01 / 20e-6) + 10 * np.log10(wide / (RATE / 2))
        assert got.uncertainty is not None
        # Where a band holds few degrees of freedom the distribution is no normal one.
        told = wide * 0.5 > 20
        inside.append(np.abs(got.value - truth)[told] <= got.uncertainty[told])
    assert 0.93 <= np.mean(inside) <= 0.98


def test_overall_is_the_sum_of_the_bands() -> None:
    got = noise_level(white(1.0, pa=0.02), sample_rate_hz=RATE)
    assert got.overall.value == pytest.approx(10 * np.log10(np.sum(10 ** (got.bands.value / 10))))
    share = (got.bands.frequency_hz[-1] * 10**0.05 - got.bands.frequency_hz[0] / 10**0.05) / 24_000
    truth = 20 * np.log10(0.02 / 20e-6) + 10 * np.log10(share)
    assert got.overall.value == pytest.approx(truth, abs=4 * 4.343 / np.sqrt(22_000))


def test_a_tone_is_read_in_its_band_and_leaks_little() -> None:
    t = np.arange(48_000) / RATE
    got = noise_level(np.sqrt(2) * np.sin(2 * np.pi * 1000 * t), sample_rate_hz=RATE).bands
    peak = int(np.argmax(got.value))
    assert got.frequency_hz[peak] == pytest.approx(1000.0)
    assert got.value[peak] == pytest.approx(93.979400, abs=1e-3)  # 1 Pa
    others = np.delete(got.value, peak)
    assert np.max(others) < 93.98 - 60


def test_a_constant_is_no_noise() -> None:
    quiet = white(1.0, pa=1e-4)
    a, b = (noise_level(quiet + dc, sample_rate_hz=RATE).bands.value for dc in (0.0, 3.0))
    np.testing.assert_allclose(a, b, atol=1e-6)


def test_a_short_silence_tells_fewer_bands_and_why() -> None:
    got = noise_level(white(0.25, pa=1.0), sample_rate_hz=RATE).bands
    assert got.frequency_hz[0] > 60
    assert got.valid.low_reason == "short silence"
    low_rate = noise_level(np.ones(8000), sample_rate_hz=16_000).bands
    assert low_rate.frequency_hz[-1] < 8000
    assert low_rate.valid.high_reason == "Nyquist"


def test_too_short_or_broken_silence_is_refused() -> None:
    with pytest.raises(DspError, match="silence too short"):
        noise_level(np.zeros(10), sample_rate_hz=RATE)
    with pytest.raises(DspError, match="the silence has gaps"):
        noise_level(np.full(48_000, np.nan), sample_rate_hz=RATE)
