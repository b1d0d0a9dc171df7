"""Which part of a level trace is read: the steady one, and how steady it is told to be."""

import numpy as np
import pytest

from dsp import Floats
from dsp.calibration.settle import Settled, settled

EVERY_S = 0.1


def found(trace_db: Floats, *, noise_db: float = 0.001, within_db: float = 0.28) -> Settled:
    return settled(trace_db, every_s=EVERY_S, within_db=within_db, least_s=2.0, noise_db=noise_db)


def steady(count: int, *, level_db: float = -30.0, seed: int = 1) -> Floats:
    return level_db + 0.001 * np.random.default_rng(seed).standard_normal(count)


def test_a_steady_trace_is_settled_from_end_to_end() -> None:
    got = found(steady(60))
    assert (got.start, got.stop, got.fluctuation_db) == (0, 60, 0.0)
    assert abs(got.slope_db_per_s) < 4 * got.slope_noise_db_per_s
    # A straight line through n points every T: s / (T sqrt(n (n^2 - 1) / 12))
    wanted = 0.001 / (EVERY_S * np.sqrt(60 * (60**2 - 1) / 12))
    assert got.slope_noise_db_per_s == pytest.approx(wanted)


def test_silence_before_and_after_is_left_out() -> None:
    got = found(
        np.concatenate([steady(40, level_db=-95.0), steady(30), steady(50, level_db=-95.0)])
    )
    assert (got.start, got.stop) == (40, 70)


def test_what_still_comes_to_rest_is_left_out() -> None:
    time_s = np.arange(60) * EVERY_S
    rising = 20 * np.log10(1 - 0.99 * np.exp(-time_s / 0.3)) + steady(60)
    got = found(rising)
    assert rising[got.start] - rising[-1] > -0.03
    assert got.stop == 60
    assert got.stop - got.start > 40


def test_the_later_of_two_equally_long_parts_is_read() -> None:
    got = found(np.concatenate([steady(25, level_db=-32.0), steady(25)]))
    assert (got.start, got.stop) == (25, 50)


def test_a_drifting_trace_is_kept_long_enough_to_tell_its_slope() -> None:
    time_s = np.arange(60) * EVERY_S
    got = found(steady(60) - 0.04 * time_s)
    assert (got.stop - got.start) * EVERY_S >= 2.0
    assert got.slope_db_per_s == pytest.approx(-0.04, abs=4 * got.slope_noise_db_per_s)


def test_what_comes_and_goes_is_told_as_a_sine_would() -> None:
    time_s = np.arange(80) * EVERY_S
    got = found(steady(80) + 0.1 * np.sin(2 * np.pi * time_s / 1.6))  # five times
    assert got.stop - got.start == 80
    # The straight line through five periods takes a little of them away.
    assert got.fluctuation_db == pytest.approx(0.1, rel=0.06)


def test_noise_alone_is_no_fluctuation() -> None:
    calm = [found(steady(60, seed=seed)).fluctuation_db == 0 for seed in range(300)]
    assert np.mean(calm) > 0.99  # 1 in 1000 by chance


def test_a_knock_does_not_hide_the_tone() -> None:
    trace = steady(50)
    trace[3] += 40.0
    got = found(trace)
    assert (got.start, got.stop) == (4, 50)
