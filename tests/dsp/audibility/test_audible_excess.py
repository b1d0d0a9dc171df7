"""A residual held against the masked threshold: tones of known level, noise, short sounds."""

from dataclasses import dataclass

import numpy as np
import pytest

from dsp import Bools, Floats
from dsp.audibility.audible_excess import Known, audible_excess, ear, stretches
from dsp.audibility.critical_bands import critical_band_rate
from dsp.audibility.hearing_threshold import hearing_threshold_db
from dsp.audibility.masked_threshold import Maskers, floor_power
from dsp.response.quiet_noise import QuietNoise

RATE = 48_000.0
TIME = np.arange(round(0.44 * RATE)) / RATE


def noise(density_db: float = -60.0) -> QuietNoise:
    hz = np.array([20.0, 20_000.0])
    density = np.full(2, 20e-6**2 * 10 ** (density_db / 10))
    return QuietNoise(frequency_hz=hz, density=density, rms=1.0, mean=0.0)


def sine(hz: float, db: float, *, time: Floats = TIME) -> Floats:
    out: Floats = np.sqrt(2) * 20e-6 * 10 ** (db / 20) * np.sin(2 * np.pi * hz * time)
    return out


@dataclass(frozen=True, kw_only=True)
class Heard:
    """One residual's row of an ``AudibleExcess``."""

    band_hz: Floats
    excess_db: Floats
    uncertainty_db: Floats
    is_bound: Bools


def held(
    residual: Floats,
    *,
    maskers: Maskers | None = None,
    surroundings: QuietNoise | None = None,
    level_db: float = 0.0,
) -> Heard:
    none = Maskers(frequency_hz=np.zeros(0), level_db=np.zeros(0))
    listener = ear(
        sample_rate_hz=RATE, low_hz=800.0, high_hz=15_000.0, noise=surroundings or noise()
    )
    got = audible_excess(
        stretches(residual, ear=listener)[np.newaxis],
        samples=np.array([residual.size]),
        ear=listener,
        maskers=maskers or none,
        known=Known(level_db=level_db, ratio_db=0.0),
    )
    return Heard(
        band_hz=got.band_hz,
        excess_db=got.excess_db[0],
        uncertainty_db=got.uncertainty_db[0],
        is_bound=got.is_bound[0],
    )


@pytest.mark.parametrize("hz", [1000.0, 2000.0, 4000.0, 8000.0])
def test_a_steady_tone_stands_over_the_threshold_in_quiet_by_its_own_level(hz: float) -> None:
    got = held(sine(hz, 40.0))
    near = np.argmin(np.abs(got.band_hz - hz))
    # Within half a Bark of its place; the threshold is read at the middle of the band.
    wanted = 40.0 - hearing_threshold_db(got.band_hz[near : near + 1])[0]
    assert got.excess_db[near] == pytest.approx(wanted, abs=0.2)
    assert not got.is_bound[near]


def test_twice_the_pressure_is_6_db_more_in_quiet() -> None:
    soft, loud = held(sine(3000, 20)), held(2 * sine(3000, 20))
    at = np.argmax(soft.excess_db)
    assert loud.excess_db[at] - soft.excess_db[at] == pytest.approx(6.0206, abs=0.01)


def test_a_fifth_of_the_time_is_7_db_less() -> None:
    # Energy over 0.2 s: 40 ms of a tone count 10 log10(5) below a steady one.
    brief = TIME[: round(0.04 * RATE)]
    steady, short = held(sine(3000, 40)), held(sine(3000, 40, time=brief))
    at = np.argmax(steady.excess_db)
    assert steady.excess_db[at] - short.excess_db[at] == pytest.approx(6.99, abs=0.3)


def test_what_a_masker_covers_is_not_heard() -> None:
    maskers = Maskers(frequency_hz=np.array([1000.0]), level_db=np.array([80.0]))
    covered, free = held(sine(1100, 50), maskers=maskers), held(sine(6000, 50), maskers=maskers)
    assert covered.excess_db.max() < 0
    assert free.excess_db.max() > 30


def test_noise_of_the_surroundings_alone_is_nothing_heard_but_a_bound() -> None:
    rng = np.random.default_rng(4)
    loud = noise(20.0)
    over = 0
    for _ in range(20):
        hiss = 20e-6 * 10 * np.sqrt(RATE / 2) * rng.standard_normal(TIME.size)
        got = held(hiss, surroundings=loud)
        over += int(np.count_nonzero(~got.is_bound & (got.excess_db > 0)))
    assert over == 0
    assert got.is_bound.mean() > 0.9


def test_a_tone_in_noise_is_held_against_the_noise() -> None:
    rng = np.random.default_rng(5)
    hiss = 20e-6 * 10 * np.sqrt(RATE / 2) * rng.standard_normal(TIME.size)
    got = held(hiss + sine(3000, 60), surroundings=noise(20.0))
    # 20 dB/Hz over the critical band at 3 kHz, about 450 to 550 Hz: 47 dB.
    assert 11 < got.excess_db.max() < 15


def test_a_short_stretch_holds_as_much_less_of_the_noise() -> None:
    # 40 ms: of noise of 47 dB in the band 40 dB are left, of a tone of 52 dB 45 dB.
    rng = np.random.default_rng(6)
    brief = TIME[: round(0.04 * RATE)]
    hiss = 20e-6 * 10 * np.sqrt(RATE / 2) * rng.standard_normal(brief.size)
    got = held(hiss + sine(3000, 52, time=brief), surroundings=noise(20.0))
    near = np.argmin(np.abs(got.band_hz - 3000))
    assert not got.is_bound[near]
    assert got.excess_db[near] == pytest.approx(-2, abs=1.5)


def test_a_level_that_is_wrong_moves_the_excess_by_as_much_in_quiet() -> None:
    got = held(sine(3000, 40), level_db=1.5)
    at = np.argmax(got.excess_db)
    assert got.uncertainty_db[at] == pytest.approx(1.5, abs=0.01)


def test_behind_a_masker_it_moves_both() -> None:
    # 80 dB at 1 kHz fall by 24.23 - 16 dB/Bark upwards, and by 0.2 dB/Bark less for each dB more:
    # of one dB of level 0.2 dB a Bark of distance are left in the ratio.
    maskers = Maskers(frequency_hz=np.array([1000.0]), level_db=np.array([80.0]))
    got = held(sine(1500, 90), maskers=maskers, level_db=1.0)
    at = int(np.argmin(np.abs(got.band_hz - 1500)))
    away = float(np.diff(critical_band_rate(np.array([1000.0, got.band_hz[at]])))[0])
    assert got.uncertainty_db[at] == pytest.approx(0.2 * away, abs=0.03)


def test_the_interval_holds_the_truth_in_noise() -> None:
    # k = 2: 95 % of takes; of 60 at least 52 (binomial, one set in a hundred has fewer).
    rng = np.random.default_rng(7)
    inside = 0
    for _ in range(60):
        hiss = 20e-6 * 10 * np.sqrt(RATE / 2) * rng.standard_normal(TIME.size)
        got = held(hiss + sine(3000, 52), surroundings=noise(20.0))
        at = int(np.argmax(got.excess_db))
        threshold = floor_power(got.band_hz[at : at + 1], noise=noise(20.0))[0]
        inside += abs(got.excess_db[at] - 52 + 10 * np.log10(threshold)) <= got.uncertainty_db[at]
    assert inside >= 52
