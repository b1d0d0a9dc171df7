"""Figures of known curves and of clicks put in at known places.

Sources: M. Abramowitz, I. Stegun, Handbook of Mathematical Functions (1964), ch. 22 (Chebyshev
polynomials); Fourier series of a clipped sine by quadrature; crest factors of a sine (sqrt 2) and
of N equal tones in cosine phase (sqrt 2N), both closed forms.
"""

import math

import numpy as np
import pytest
from numpy.polynomial import chebyshev

from dsp import Floats
from tests.dsp.defects.played import RATE, excitation, noise, read, tone_segment

PLAYED = excitation(60.0, 100.0, 160.0)


def orders(*pairs: tuple[int, float]) -> list[float]:
    weights = np.zeros(max(n for n, _ in pairs) + 1)
    for n, weight in pairs:
        weights[n] = weight
    return list(weights)


@pytest.mark.parametrize("order", range(10, 16))
def test_an_order_of_a_chebyshev_polynomial_is_read_in_the_high_orders(order: int) -> None:
    found = read(PLAYED, bend=lambda x: x + chebyshev.chebval(x, orders((order, 1e-3))))
    for tone in found.tones:
        assert not tone.high_order_db.is_bound
        assert tone.high_order_db.value == pytest.approx(-60.0, abs=0.02)


def test_the_high_orders_of_a_clipped_sine_are_those_of_its_fourier_series() -> None:
    clip, angle = 0.9, np.linspace(0, 2 * np.pi, 200_001)
    wave = np.clip(np.sin(angle), -clip, clip)
    size = {n: np.trapezoid(wave * np.sin(n * angle), angle) / np.pi for n in (1, 11, 13, 15)}
    assert size[1] == pytest.approx(0.96261393, abs=1e-7)
    truth = 20 * math.log10(math.hypot(size[11], size[13], size[15]) / size[1])
    found = read(excitation(60.0), bend=lambda x: np.clip(x, -clip, clip))
    assert found.high_order_db.value == pytest.approx(truth, abs=0.02)
    assert found.tones[0].fundamental_pa == pytest.approx(size[1], rel=1e-4)


def test_low_orders_are_no_rub_however_strong() -> None:
    low = orders(*((n, 0.05) for n in range(2, 10)))
    found = read(PLAYED, bend=lambda x: x + chebyshev.chebval(x, low))
    assert found.rub_buzz_db.value < -100
    assert found.high_order_db.value < -100


def test_a_sine_left_over_has_its_level_and_the_crest_of_a_sine() -> None:
    found = read(excitation(60.0), bend=lambda x: x + chebyshev.chebval(x, orders((20, 0.01))))
    assert found.rub_buzz_db.value == pytest.approx(-40.0, abs=0.02)
    assert found.sync_crest.value == pytest.approx(math.sqrt(2), rel=2e-3)


def test_eight_tones_in_cosine_phase_have_a_crest_factor_of_four() -> None:
    eight = orders(*((n, 1e-3) for n in range(20, 28)))
    found = read(excitation(60.0), bend=lambda x: x + chebyshev.chebval(x, eight))
    assert found.sync_crest.value == pytest.approx(4.0, rel=5e-3)


@pytest.mark.parametrize("place", [0.0, 1.5, -2.0, 3.0])
def test_a_knock_is_placed_in_the_cycle_of_the_displacement(place: float) -> None:
    played = excitation(60.0)
    segment = tone_segment(played)
    turns = np.arange(played.samples.size) - segment.start
    # The pressure follows the acceleration: the displacement is the tone turned round.
    angle = 2 * np.pi * 60.0 * turns / RATE + segment.phase_rad[0] + np.pi / 2
    off = (angle - place + np.pi) % (2 * np.pi) - np.pi
    inside = (turns > 0) & (turns < segment.hold_stop[0])
    found = read(played, more=0.01 * np.exp(-0.5 * (off / 0.04) ** 2) * inside)
    assert (found.tones[0].place_rad - place + np.pi) % (2 * np.pi) - np.pi == pytest.approx(
        0.0, abs=0.05
    )


def test_noise_alone_gives_bounds_and_no_impulse() -> None:
    for seed in range(6):
        found = read(PLAYED, more=noise(PLAYED, rms=0.01, seed=10 + seed))
        figures = (found.rub_buzz_db, found.high_order_db, found.leak_modulation)
        assert all(figure.is_bound for figure in (*figures, found.random_rms_db))
        assert found.impulse_count.value == 0
        assert not found.disturbed


def test_a_bound_lies_above_what_noise_hides() -> None:
    held = 0
    for seed in range(20):
        hidden = chebyshev.chebval(PLAYED.samples, orders((20, 0.002)))
        found = read(PLAYED, more=hidden + noise(PLAYED, rms=0.01, seed=seed))
        held += found.rub_buzz_db.value > 20 * math.log10(0.002)
    assert held == 20


def clicks(times_s: Floats, *, tau_s: float, hz: float, peak: float) -> Floats:
    out = np.zeros(PLAYED.samples.size)
    for start in np.rint(times_s * RATE).astype(int):
        time = np.arange(min(int(8 * tau_s * RATE), out.size - start)) / RATE
        out[start : start + time.size] += (
            peak * np.exp(-time / tau_s) * np.sin(2 * np.pi * hz * time)
        )
    return out


def test_clicks_are_counted_and_placed_in_time() -> None:
    segment = tone_segment(PLAYED)
    starts = segment.hold_start / RATE + np.array([0.051, 0.123, 0.207])
    found = read(PLAYED, more=clicks(starts, tau_s=0.3e-3, hz=4200, peak=0.02), rms=1e-3)
    assert found.impulse_count.value == 3
    times = np.concatenate([tone.impulses.time_s for tone in found.tones])
    np.testing.assert_allclose(times, starts, atol=1e-3)
    assert found.rub_buzz_db.is_bound
    assert not found.disturbed


def test_what_rings_is_a_disturbance_and_no_click() -> None:
    start = np.array([tone_segment(PLAYED).hold_start[1] / RATE + 0.1])
    found = read(PLAYED, more=clicks(start, tau_s=6e-3, hz=2500, peak=0.1), rms=1e-3)
    assert found.impulse_count.value == 0
    (told,) = found.disturbed
    assert told.told_by == "ringing"
    assert told.start_s == pytest.approx(start[0], abs=2e-3)
    assert found.tones[1].disturbed_periods > 0
    assert found.rub_buzz_db.is_bound


@pytest.mark.parametrize(("each", "counts"), [((4, 4, 4), True), ((6, 6, 1), False)])
def test_what_rings_again_and_again_in_every_tone_is_the_unit_s_own(
    each: tuple[int, ...], counts: bool
) -> None:
    # 45 ms apart and never at the same place of a period: each rings alone.
    starts = [
        start / RATE + 0.02 + 0.0453 * np.arange(count)
        for start, count in zip(tone_segment(PLAYED).hold_start, each, strict=True)
    ]
    ringing = clicks(np.concatenate(starts), tau_s=4e-3, hz=4200, peak=0.1)
    found = read(PLAYED, more=ringing, rms=1e-3)
    assert found.impulse_count.value == (sum(each) if counts else 0)
    if counts:
        assert not found.disturbed
        assert all(tone.disturbed_periods == 0 for tone in found.tones)


def test_hiss_with_the_square_of_the_velocity_is_modulated_by_two_thirds() -> None:
    # Power as v^4 = 3/8 + cos(2 phi)/2 + cos(4 phi)/8: twice a period, (1/2 / 2) / (3/8).
    hiss = PLAYED.samples**2 * noise(PLAYED, rms=0.01, seed=3)
    found = read(PLAYED, more=hiss, rms=1e-5)
    assert found.leak_modulation.value == pytest.approx(2 / 3, abs=0.05)
    assert found.impulse_count.value <= 1
    assert found.rub_buzz_db.is_bound


def test_a_click_of_eight_times_the_noise_is_still_found() -> None:
    starts = tone_segment(PLAYED).hold_start / RATE + 0.1
    found = read(PLAYED, more=clicks(starts, tau_s=0.3e-3, hz=4200, peak=8e-3), rms=1e-3)
    assert found.impulse_count.value == 3
