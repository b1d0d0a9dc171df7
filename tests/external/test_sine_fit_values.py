"""What a fit of sines can reach in noise, and what it must return without.

Sources: D. C. Rife, R. R. Boorstyn, IEEE Trans. Inf. Theory 20 (1974) 591, and S. M. Kay,
Fundamentals of Statistical Signal Processing (1993), ch. 3 (bounds); IEEE Std 1057 (fit at a known
frequency). Monte Carlo with a fixed seed: a standard deviation of n runs is known to
1 / sqrt(2 n); four of those are allowed.
"""

from functools import cache

import numpy as np
import pytest

from dsp.acoustic.minimum_phase import minimum_phase
from dsp.distortion.harmonic_curves import harmonic_curve
from dsp.excitation.assemble import assemble
from dsp.excitation.excitation import Excitation
from dsp.excitation.segment import ToneSegment
from dsp.excitation.tones import tones
from dsp.response.harmonics import Harmonics
from dsp.response.line_noise import quiet_spectrum
from dsp.response.tone_answer import tone_answer

RATE, RUNS, SIGMA = 48_000, 400, 0.01
SLACK = 4 / np.sqrt(2 * RUNS)  # 14 %


def one_tone(hold_s: float) -> Excitation:
    """1 kHz, held for a whole number of periods after 60 ms."""
    part = tones(sample_rate_hz=RATE, hz=[1000.0], dwell_s=0.06 + hold_s, peak_v=1.0)
    return assemble([part], sample_rate_hz=RATE, mark_peak_v=1.0)


def held(excitation: Excitation) -> ToneSegment:
    segment = excitation.segments[0]
    assert isinstance(segment, ToneSegment)
    return segment


@cache
def hundreds_of_fits() -> tuple[Harmonics, ...]:
    played = one_tone(0.1)
    rng = np.random.default_rng(1974)
    return tuple(
        tone_answer(
            played.samples + SIGMA * rng.standard_normal(played.samples.size),
            excitation=played,
            segment_index=0,
            orders=2,
        )
        for _ in range(RUNS)
    )


def test_the_example_holds_4800_samples() -> None:
    segment = held(one_tone(0.1))
    assert segment.hold_stop[0] - segment.hold_start[0] == 4800


def test_amplitude_and_phase_scatter_as_the_bounds_say_and_no_less() -> None:
    # Variance of A 2 s^2 / N, of the phase at a known frequency 1 / (eta N), eta = A^2 / (2 s^2).
    # Below: the noise was not what it was said to be. Above: the fit is not efficient.
    first = np.array([fit.fundamental[0] for fit in hundreds_of_fits()]) * np.sqrt(2)
    assert np.std(np.abs(first)) == pytest.approx(2.041241e-4, rel=SLACK)
    assert np.degrees(np.std(np.angle(first))) == pytest.approx(0.011695, rel=SLACK)
    # Not 0.023387 deg, the bound where the frequency has to be found as well.
    assert np.degrees(np.std(np.angle(first))) < 0.023387 * (1 - SLACK)


def test_the_noise_that_is_told_is_the_noise_that_there_is() -> None:
    # Of either part of an rms phasor: s / sqrt(N)
    told = np.array([fit.noise[0, 0] for fit in hundreds_of_fits()])
    assert np.sqrt(np.mean(told**2)) == pytest.approx(SIGMA / np.sqrt(4800), rel=0.03)


def test_a_harmonic_that_is_not_there_reads_as_noise_and_is_marked_as_a_bound() -> None:
    # Rayleigh: its peak value has mean s sqrt(pi / N), 0.523 of that as standard deviation.
    second = np.array([np.abs(fit.amplitude[1, 0]) for fit in hundreds_of_fits()]) * np.sqrt(2)
    wanted = SIGMA * np.sqrt(np.pi / 4800)
    assert second.mean() == pytest.approx(wanted, rel=4 * 0.523 / np.sqrt(RUNS))
    shown = [harmonic_curve(fit, order=2) for fit in hundreds_of_fits()]
    hidden = [curve.is_bound is not None and bool(curve.is_bound[0]) for curve in shown]
    # 10 dB above the noise power by chance: exp(-10) a run.
    assert np.mean(hidden) > 0.99


def test_without_noise_amplitude_phase_and_offset_come_back_to_rounding() -> None:
    # 1 kHz, 480 samples, amplitude 1.25, 30 deg, offset -0.1
    played = one_tone(0.01)
    segment = held(played)
    assert segment.hold_stop[0] - segment.hold_start[0] == 480
    n = np.arange(played.samples.size) - segment.start
    drive = 2 * np.pi * 1000 / RATE * n + segment.phase_rad[0]
    heard = 1.25 * np.sin(drive + np.radians(30)) - 0.1
    got = tone_answer(heard, excitation=played, segment_index=0, orders=1).fundamental[0]
    assert abs(got) * np.sqrt(2) == pytest.approx(1.25, abs=1e-12)
    assert np.angle(got, deg=True) == pytest.approx(30.0, abs=1e-9)


def test_a_hann_window_s_width_does_not_make_white_noise_look_louder() -> None:
    # Harris, Proc. IEEE 66 (1978) 51, table I: equivalent noise bandwidth 1.5 bins, 1.76 dB.
    # A density scaled like a sine's peak would be that much too high.
    rng = np.random.default_rng(1978)
    found = []
    for _ in range(100):
        spectrum = quiet_spectrum(rng.standard_normal(4096))
        found.append((spectrum.summed[-2] - spectrum.summed[1]) / (spectrum.summed.size - 3))
    # Each is a mean over 4096 samples: 1 +- sqrt(2 / 4096) and a little more for the window.
    assert np.mean(found) == pytest.approx(1.0, abs=4 * np.sqrt(2 * 35 / 18 / 4096 / 100))
    assert abs(10 * np.log10(np.mean(found)) - 1.7609) > 1.5


@pytest.mark.parametrize(("hz", "deg"), [(1000.0, -45.0), (500.0, -26.565051)])
def test_a_first_order_low_pass_has_the_phase_that_its_magnitude_tells(
    hz: float, deg: float
) -> None:
    # H. W. Bode (1945): 1 / (1 + j f / f0) is minimum phase; f0 1 kHz.
    grid = np.geomspace(1.0, 1e6, 4000)
    got = minimum_phase(
        -0.5 * np.log1p((grid / 1000) ** 2),
        frequency_hz=grid,
        at_hz=np.array([hz]),
        low_slope=0.0,
        high_slope=-1.0,
    )
    assert np.degrees(got[0]) == pytest.approx(deg, abs=1e-3)


def test_a_pure_delay_s_flat_magnitude_needs_no_phase() -> None:
    grid = np.geomspace(20.0, 20_000.0, 200)
    got = minimum_phase(
        np.zeros(200), frequency_hz=grid, at_hz=grid[50:150], low_slope=0.0, high_slope=0.0
    )
    np.testing.assert_allclose(got, 0, atol=1e-12)
