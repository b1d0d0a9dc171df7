"""Crest factors and levels of what is played.

Sources: M. R. Schroeder, IEEE Trans. Inf. Theory 16 (1970) 85 (phases; crest factors evaluated
apart, 256 points a cycle of the highest line); closed forms of classic waves; normal distribution.
"""

import numpy as np
import pytest

from dsp import Floats
from dsp.excitation.crest import crest_db
from dsp.excitation.low_crest import low_crest
from dsp.excitation.multitone import multitone
from dsp.excitation.noise import noise
from dsp.excitation.segment import BroadbandSegment

RATE = 48_000


def equal_tones(count: int, *, phase_rad: Floats) -> Floats:
    """One period of equal cosines k = 1 to count, 256 points a cycle of the highest."""
    size = 256 * count
    spectrum = np.zeros(size, dtype=np.complex128)
    spectrum[1 : count + 1] = np.exp(1j * phase_rad)
    return np.asarray(np.fft.ifft(spectrum).real * size)


@pytest.mark.parametrize(("wave", "db"), [("sine", 3.0103), ("triangle", 4.7712), ("square", 0.0)])
def test_classic_waves_have_their_crest_factors(wave: str, db: float) -> None:
    t = (np.arange(4096) + 0.5) / 4096
    shapes = {
        "sine": np.sin(2 * np.pi * t),
        "triangle": 1 - 4 * np.abs(t - 0.5),
        "square": np.sign(t - 0.5),
    }
    # The middle of a triangle's tip is missed by half a sample.
    assert crest_db(shapes[wave]) == pytest.approx(db, abs=5e-3 if wave == "triangle" else 1e-4)


@pytest.mark.parametrize(("count", "db"), [(8, 12.0412), (32, 18.0618), (128, 24.0824)])
def test_tones_that_start_together_pile_up_to_10_log_2n(count: int, db: float) -> None:
    assert crest_db(equal_tones(count, phase_rad=np.zeros(count))) == pytest.approx(db, abs=5e-5)


SCHROEDER_DB = {3: 6.6155, 4: 5.5314, 8: 5.0409, 16: 5.2298, 32: 4.7855, 64: 4.6426, 128: 4.6271}


@pytest.mark.parametrize("count", sorted(SCHROEDER_DB))
def test_schroeder_s_phases_have_his_crest_factors_and_ours_are_lower(count: int) -> None:
    k = np.arange(1, count + 1)
    schroeder = -np.pi * k * (k - 1) / count
    published = SCHROEDER_DB[count]
    assert crest_db(equal_tones(count, phase_rad=schroeder)) == pytest.approx(published, abs=0.01)
    found = low_crest(k.astype(np.int64), period=256 * count, phase_rad=schroeder)
    assert crest_db(found) < published + 0.01
    if count >= 16:
        assert crest_db(found) < published - 0.5


def test_one_click_in_the_residual_of_a_sine_lifts_its_crest_factor_from_3_to_31_db() -> None:
    # A sine of rms 0.01 and (1 - cos) / 2 over 8 of 4800 samples: 0.027077 rms by its two sums.
    residual = 0.01 * np.sqrt(2) * np.sin(2 * np.pi * 37 * np.arange(4800) / 4800)
    assert crest_db(residual) == pytest.approx(3.0103, abs=1e-3)
    residual[2000:2008] += (1 - np.cos(2 * np.pi * (np.arange(8) + 0.5) / 8)) / 2
    assert np.sqrt(np.mean(residual**2)) == pytest.approx(0.027077, abs=5e-7)
    assert crest_db(residual) == pytest.approx(31.0581, abs=5e-5)


def test_sixty_tones_share_2_83_v_as_0_365_v_each() -> None:
    # V / sqrt(N): powers add; V / N would be 0.047 V.
    made = multitone(
        sample_rate_hz=RATE,
        start_hz=100.0,
        stop_hz=100.0 * 2 ** (59 / 8),
        per_octave=8,
        duration_s=2.0,
        rms_v=2.83,
        rng=np.random.default_rng(60),
    )
    segment = made.segment
    assert isinstance(segment, BroadbandSegment)
    assert segment.frequency_hz.size == 60
    period = made.samples[segment.period : 2 * segment.period]
    lines = np.rint(segment.frequency_hz * segment.period / RATE).astype(np.int64)
    each = np.abs(np.fft.rfft(period))[lines] * np.sqrt(2) / segment.period
    np.testing.assert_allclose(each, 0.365351, rtol=1e-5)


def test_log_spaced_tones_pile_up_less_than_those_of_random_phases() -> None:
    made = multitone(
        sample_rate_hz=RATE,
        start_hz=20.0,
        stop_hz=20_000.0,
        per_octave=6,
        duration_s=2.0,
        rms_v=1.0,
        rng=np.random.default_rng(6),
    )
    segment = made.segment
    assert isinstance(segment, BroadbandSegment)
    period = made.samples[segment.period : 2 * segment.period]
    bins = np.abs(np.fft.rfft(period))
    rng = np.random.default_rng(7)
    random = [
        crest_db(np.fft.irfft(bins * np.exp(2j * np.pi * rng.random(bins.size)), period.size))
        for _ in range(50)
    ]
    assert crest_db(period) < np.median(random) - 1


def gaussian(*, colour: str, seed: int, crest: float = 20.0, seconds: float = 10.0) -> Floats:
    return noise(
        sample_rate_hz=RATE,
        colour="pink" if colour == "pink" else "white",
        start_hz=20.0,
        stop_hz=20_000.0,
        duration_s=seconds,
        rms_v=1.0,
        crest_db=crest,
        rng=np.random.default_rng(seed),
    ).samples


def test_pink_noise_falls_by_3_db_an_octave_and_white_noise_does_not() -> None:
    for colour, slope_db in (("pink", -3.0103), ("white", 0.0)):
        samples = gaussian(colour=colour, seed=1)
        power = np.abs(np.fft.rfft(samples)) ** 2
        f = np.fft.rfftfreq(samples.size, 1 / RATE)
        edges = 40.0 * 2 ** np.arange(0, 9)
        density = [10 * np.log10(np.mean(power[(f >= low) & (f < 2 * low)])) for low in edges[:-1]]
        # Each octave scatters by 4.34 dB / sqrt(B T); the lowest, 40 Hz for 10 s, by 0.22 dB.
        fitted = np.polyfit(np.arange(8), density, 1, w=np.sqrt(edges[:-1]))[0]
        assert fitted == pytest.approx(slope_db, abs=0.05)


def test_unhindered_it_is_gaussian_with_kurtosis_3_and_its_share_beyond_2_sigma() -> None:
    samples = gaussian(colour="white", seed=2)
    inner = samples[RATE // 2 : -RATE // 2]
    sigma = np.std(inner)
    # 480 000 samples, 0.83 independent ones each: kurtosis 3 +- sqrt(24 / n).
    count = 0.83 * inner.size
    assert np.mean((inner / sigma) ** 4) == pytest.approx(3.0, abs=4 * np.sqrt(24 / count))
    beyond = np.mean(np.abs(inner) > 2 * sigma)
    assert beyond == pytest.approx(0.0455, abs=4 * np.sqrt(0.0455 * 0.9545 / count))


def test_peaks_held_to_12_db_do_not_come_from_a_clipper() -> None:
    # A clipper at 3 sigma would leave an rms of 0.997501, at 2 sigma 0.959446, and fill what lies
    # above 20 kHz: held by their phases, the peaks cost nothing of either.
    samples = gaussian(colour="pink", seed=3, crest=9.5642, seconds=4.0)
    assert np.sqrt(np.mean(samples**2)) == pytest.approx(1.0, rel=1e-9)
    assert crest_db(samples) <= 9.5642
    power = np.abs(np.fft.rfft(samples * np.hanning(samples.size))) ** 2
    f = np.fft.rfftfreq(samples.size, 1 / RATE)
    clipped = np.clip(gaussian(colour="pink", seed=3, crest=20.0, seconds=4.0), -3, 3)
    spilt = np.abs(np.fft.rfft(clipped * np.hanning(clipped.size))) ** 2
    share_db = 10 * np.log10(np.sum(power[f > 20_500]) / np.sum(power))
    clipped_db = 10 * np.log10(np.sum(spilt[f > 20_500]) / np.sum(spilt))
    assert share_db < clipped_db - 30
