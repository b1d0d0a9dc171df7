"""What is in a recording besides the tone: hum as loud as it was made, noise as it was drawn."""

import numpy as np
import pytest

from dsp import Floats
from dsp.calibration.hum import Rest, rest_of

RATE, SECONDS, SIGMA = 16_000.0, 4.0, 1e-3
TIME_S = np.arange(int(RATE * SECONDS)) / RATE


def noise(seed: int = 50) -> Floats:
    drawn: Floats = SIGMA * np.random.default_rng(seed).standard_normal(TIME_S.size)
    return drawn


def line(hz: float, peak: float) -> Floats:
    wave: Floats = peak * np.cos(2 * np.pi * hz * TIME_S + 1.0)
    return wave


def rest(samples: Floats, *, tone_hz: float = 1000.0) -> Rest:
    return rest_of(samples, sample_rate_hz=RATE, tone_hz=tone_hz, blind_hz=12.0)


def test_white_noise_has_its_density_and_no_hum() -> None:
    got = [rest(noise(seed)) for seed in range(20)]
    # One-sided: 2 s^2 / rate
    density = np.mean([one.density for one in got])
    assert density == pytest.approx(2 * SIGMA**2 / RATE, rel=0.05)
    assert np.mean([one.noise for one in got]) == pytest.approx(SIGMA**2, rel=0.02)
    assert [one.hum for one in got].count(0.0) >= 18


@pytest.mark.parametrize("mains_hz", [50.0, 60.0])
@pytest.mark.parametrize("off", [-0.001, 0.0, 0.001])
def test_hum_is_told_by_its_mains_and_its_power(mains_hz: float, off: float) -> None:
    at = mains_hz * (1 + off)
    got = rest(noise() + line(at, 0.01) + line(3 * at, 0.02) + line(7 * at, 0.005))
    assert got.mains_hz == mains_hz
    assert got.hum == pytest.approx((0.01**2 + 0.02**2 + 0.005**2) / 2, rel=0.01)
    assert got.noise == pytest.approx(SIGMA**2, rel=0.05)


def test_a_line_in_the_dark_counts_as_the_stronger_one_beside_it() -> None:
    # Nothing is left of 250 Hz after a tone of 250 Hz was taken out.
    lines = line(200.0, 0.01) + line(300.0, 0.004)
    got = rest(noise() + lines, tone_hz=250.0)
    assert got.hidden == pytest.approx(0.01**2 / 2, rel=0.01)
    assert got.hum == pytest.approx((2 * 0.01**2 + 0.004**2) / 2, rel=0.02)


def test_hum_that_only_beats_with_the_tone_is_not_hidden_in_its_level() -> None:
    got = rest(noise() + line(200.0, 0.01), tone_hz=255.0)
    assert got.hidden == 0.0
    assert got.hum > 0


def test_lines_do_not_count_as_noise_around_the_tone() -> None:
    plain, lined = rest(noise()), rest(noise() + line(1050.0, 0.1) + line(950.0, 0.1))
    assert lined.density == pytest.approx(plain.density, rel=0.2)
