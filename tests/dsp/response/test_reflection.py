"""The first reflection of a response that is made of known arrivals."""

import numpy as np
import pytest
from scipy import signal

from dsp.response.impulse import ImpulseResponse
from dsp.response.reflection import first_reflection

RATE = 48_000.0
ARRIVAL = 480


def response(*arrivals: tuple[float, float], noise: float = 0.0) -> ImpulseResponse:
    """A unit with a cone that rings at 5 kHz, heard by several ways (s, amplitude)."""
    pulses = np.zeros(9600)
    for late_s, amplitude in ((0.0, 1.0), *arrivals):
        pulses[ARRIVAL + round(late_s * RATE)] += amplitude
    body = signal.butter(2, 75.0, "high", fs=RATE, output="sos")
    peak = signal.iirpeak(5000.0, 8.0, fs=RATE)
    samples = signal.sosfilt(body, pulses)
    samples = samples + 0.5 * signal.lfilter(*peak, pulses)
    samples = samples + noise * np.random.default_rng(1).standard_normal(samples.size)
    return ImpulseResponse(
        samples=samples, sample_rate_hz=RATE, zero_index=340, arrival_index=ARRIVAL
    )


@pytest.mark.parametrize("late_s", [0.0015, 0.0052, 0.02, 0.038])
@pytest.mark.parametrize("amplitude", [0.15, 0.5, -0.4])
def test_time_and_strength_are_those_of_the_second_arrival(late_s: float, amplitude: float) -> None:
    found = first_reflection(response((late_s, amplitude)))
    assert found is not None
    assert found.after_s == pytest.approx(late_s, abs=2 / RATE)
    assert found.strength == pytest.approx(abs(amplitude), rel=0.25)


def test_of_several_the_first_counts() -> None:
    found = first_reflection(response((0.004, 0.2), (0.009, 0.6)))
    assert found is not None
    assert found.after_s == pytest.approx(0.004, abs=2 / RATE)


def test_a_unit_that_rings_in_free_air_has_none() -> None:
    assert first_reflection(response()) is None


def test_noise_is_no_reflection() -> None:
    assert first_reflection(response(noise=0.02)) is None


def test_what_is_too_weak_or_too_late_to_matter_is_not_told() -> None:
    assert first_reflection(response((0.006, 0.03))) is None
    assert first_reflection(response((0.06, 0.5))) is None


def test_a_silent_or_short_response_tells_nothing() -> None:
    for samples in (np.zeros(4800), np.zeros(60)):
        silent = ImpulseResponse(
            samples=samples, sample_rate_hz=RATE, zero_index=0, arrival_index=20
        )
        assert first_reflection(silent) is None
