"""A tone made from its closed form is followed: silence, rise, steadiness, another coupling."""

import math

import numpy as np
import pytest

from app.calibrate.follow import Follower
from dsp import Floats
from dsp.calibration.instrument import Instrument, InstrumentKind
from hardware.chain.schema import PressureInput

RATE = 48_000.0
WIRED = PressureInput(channel=1, full_scale_v=2.0, sensitivity_v_per_pa=0.0125)
CALIBRATOR = Instrument(kind=InstrumentKind.CALIBRATOR, level_db=94.0, frequency_hz=1000.0)


def follower(*, after_silence: bool = False) -> Follower:
    return Follower(
        WIRED,
        instrument=CALIBRATOR,
        expected_db=94.0,
        sample_rate_hz=RATE,
        after_silence=after_silence,
    )


def is_done(one: Follower) -> bool:
    return one.is_done


def tone(seconds: float, *, level_db: float = 94.0, wander_db: float = 0.0) -> Floats:
    """20 µPa rms is 0 dB; 1.0 is 2 V."""
    time_s = np.arange(round(seconds * RATE)) / RATE
    db = level_db + wander_db * np.sin(2 * math.pi * time_s / 1.5)
    peak = math.sqrt(2) * 20e-6 * 10 ** (db / 20) * 0.0125 / 2.0
    return np.asarray(peak * np.sin(2 * math.pi * 1000.0 * time_s), dtype=np.float64)


def silence(seconds: float) -> Floats:
    return np.random.default_rng(1).normal(scale=1e-6, size=round(seconds * RATE))


def test_a_steady_tone_settles_after_five_seconds_of_it() -> None:
    one = follower()
    one.add(silence(1.0))
    assert math.isnan(one.now.frequency_hz)
    one.add(tone(4.0))
    assert one.now.heard
    assert not is_done(one)
    one.add(tone(1.5))
    assert one.now.settled
    assert one.begins_s == pytest.approx(0.7)  # 0.3 s before the tone
    assert one.now.frequency_hz == pytest.approx(1000.0, abs=0.1)
    assert float(one.now.level_db[-1]) == pytest.approx(94.0, abs=0.01)
    assert one.now.sensitivity_v_per_pa == pytest.approx(0.0125, rel=1e-3)


def test_a_tone_that_comes_and_goes_never_settles_and_is_given_up() -> None:
    one = follower()
    one.add(tone(19.5, wander_db=0.5))
    assert not is_done(one)
    one.add(tone(1.0, wander_db=0.5))
    assert is_done(one)
    assert not one.now.settled


def test_another_coupling_counts_only_after_the_instrument_was_off() -> None:
    one = follower(after_silence=True)
    one.add(tone(8.0))
    assert one.now.waits_for_silence
    assert not is_done(one)
    one.add(silence(1.0))
    one.add(tone(5.5))
    assert one.now.settled


def test_what_is_far_quieter_than_named_is_no_tone_of_it() -> None:
    one = follower()
    one.add(tone(2.0, level_db=40.0))
    assert not one.now.heard
