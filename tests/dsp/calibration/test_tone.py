"""The tone in a recording: its frequency, found; its level, stretch by stretch."""

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from dsp import DspError, Floats
from dsp.calibration.tone import STRETCH_S, find_tone, tone_trace, turning_hz, wandering_hz

RATE = 16_000.0


def tone(hz: float, *, seconds: float = 3.0, noise: float = 0.0, phase: float = 0.4) -> Floats:
    n = np.arange(int(seconds * RATE))
    drawn = np.random.default_rng(57).standard_normal(n.size)
    wave: Floats = np.cos(2 * np.pi * hz / RATE * n + phase) + noise * drawn
    return wave


@settings(max_examples=40)
@given(hz=st.floats(240.0, 1050.0))
def test_a_tone_is_found_to_a_part_of_what_the_recording_resolves(hz: float) -> None:
    rough = find_tone(tone(hz), sample_rate_hz=RATE, near_hz=1.02 * hz)
    assert rough == pytest.approx(hz, abs=0.05 / 3)
    trace = tone_trace(tone(hz), sample_rate_hz=RATE, frequency_hz=rough)
    assert rough + turning_hz(trace.phasor, every_s=STRETCH_S) == pytest.approx(hz, abs=1e-5)


def test_another_tone_is_taken_only_where_it_is_much_louder() -> None:
    meant, other = tone(1000.0), tone(250.0)
    for size, wanted in ((2.0, 1000.0), (10.0, 250.0)):
        got = find_tone(meant + size * other, sample_rate_hz=RATE, near_hz=1000.0)
        assert got == pytest.approx(wanted, abs=0.05)


def test_the_frequency_scatters_as_the_bound_says() -> None:
    # Variance of w: 12 / (eta N (N^2 - 1)), eta = A^2 / (2 s^2): D. C. Rife, R. R. Boorstyn,
    # IEEE Trans. Inf. Theory 20 (1974) 591. A line through the phases of stretches reaches it.
    rng, sigma, count = np.random.default_rng(1974), 0.1, 120
    n = np.arange(int(1.0 * RATE))
    found = []
    for _ in range(count):
        wave = np.cos(2 * np.pi * 1000.3 / RATE * n) + sigma * rng.standard_normal(n.size)
        trace = tone_trace(wave, sample_rate_hz=RATE, frequency_hz=1000.0, orders=1)
        found.append(turning_hz(trace.phasor, every_s=STRETCH_S))
    eta = 1 / (2 * sigma**2)
    bound_hz = np.sqrt(12 / (eta * n.size * (n.size**2 - 1.0))) * RATE / (2 * np.pi)
    assert np.mean(found) == pytest.approx(0.3, abs=4 * bound_hz / np.sqrt(count))
    assert np.std(found) == pytest.approx(bound_hz, rel=4 / np.sqrt(2 * count))


def test_level_harmonics_and_offset_come_apart() -> None:
    wave = 0.7 * tone(1000.0) + 0.05 * tone(2000.0) + 0.2
    trace = tone_trace(wave, sample_rate_hz=RATE, frequency_hz=1000.0)
    np.testing.assert_allclose(np.abs(trace.phasor), 0.7, rtol=1e-12)
    np.testing.assert_allclose(np.abs(trace.harmonics[:, 0]), 0.05, rtol=1e-10)
    np.testing.assert_allclose(trace.residual, 0.0, atol=1e-11)


def test_a_wandering_tone_leaves_nothing_behind_once_it_is_followed() -> None:
    time_s = np.arange(int(5 * RATE)) / RATE
    wave = np.cos(2 * np.pi * 1000 * time_s + 1.5 * np.sin(2 * np.pi * 0.2 * time_s))  # ± 0.3 Hz
    stiff = tone_trace(wave, sample_rate_hz=RATE, frequency_hz=1000.0)
    followed = tone_trace(
        wave, sample_rate_hz=RATE, frequency_hz=1000.0, above_hz=wandering_hz(stiff)
    )
    assert np.std(followed.residual) < 0.1 * np.std(stiff.residual)
    np.testing.assert_allclose(np.abs(followed.phasor), 1.0, atol=1e-4)
    np.testing.assert_allclose(
        wandering_hz(stiff)[5:-5],
        (0.3 * np.cos(2 * np.pi * 0.2 * stiff.middle_s))[5:-5],
        atol=0.005,
    )


def test_a_frequency_that_the_rate_cannot_hold_is_refused() -> None:
    with pytest.raises(DspError, match=r"frequency outside: given 9000 Hz, allowed 30 to 7520 Hz"):
        find_tone(tone(1000.0), sample_rate_hz=RATE, near_hz=9000.0)


def test_less_than_one_stretch_is_refused() -> None:
    with pytest.raises(DspError, match="too short"):
        tone_trace(np.ones(100), sample_rate_hz=RATE, frequency_hz=1000.0)
