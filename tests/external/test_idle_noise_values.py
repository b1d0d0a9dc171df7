"""Levels of noise and of full scale, against physical constants and the definition of AES17."""

import math

import numpy as np
import pytest

from dsp.calibration.chain_limits import idle_noise

BOLTZMANN = 1.380649e-23  # J/K, exact since 2019 (SI Brochure, 9th edition)


@pytest.mark.parametrize(
    ("ohm", "nanovolts"),
    [
        # sqrt(4 k T R B) at 293.15 K over 20 kHz (J. B. Johnson, H. Nyquist, Phys. Rev. 32 (1928)).
        (150.0, 220.3826),
        (600.0, 440.7651),
        (1000.0, 569.0253),
    ],
)
def test_a_resistor_is_heard_as_johnson_and_nyquist_say(ohm: float, nanovolts: float) -> None:
    rate, full_scale_v = 48_000.0, 1e-3
    density = math.sqrt(4 * BOLTZMANN * 293.15 * ohm)
    assert density * math.sqrt(20_000) * 1e9 == pytest.approx(nanovolts, rel=1e-6)
    # White noise of that density up to half the rate, on a channel of 1 mV full scale.
    rms = density * math.sqrt(rate / 2) / full_scale_v
    drawn = rms * np.random.default_rng(1).standard_normal(480_000)
    got = idle_noise(drawn, sample_rate_hz=rate, full_scale_v=full_scale_v, link="pressure")
    assert got.density_v_per_rthz == pytest.approx(density, rel=0.01)
    # 20 Hz to 20 kHz is 0.1 % less than 20 kHz.
    assert got.noise_v * 1e9 == pytest.approx(nanovolts, rel=0.01)


def test_a_full_scale_sine_is_0_db() -> None:
    # AES17: 0 dB FS is the level of a sine whose peak is full scale, 3.0103 dB below its peak.
    t = np.arange(48_000) / 48_000
    sine = np.sin(2 * np.pi * 997 * t)
    got = idle_noise(sine, sample_rate_hz=48_000, full_scale_v=1.0, link="loopback")
    assert got.noise.value == pytest.approx(0.0, abs=0.01)
    assert got.noise_v == pytest.approx(10 ** (-3.0103 / 20), rel=1e-3)
