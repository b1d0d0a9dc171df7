from dataclasses import replace

import numpy as np
import pytest
from scipy.fft import next_fast_len

from dsp import DspError, Floats
from dsp.excitation.assemble import assemble
from dsp.excitation.excitation import Excitation
from dsp.excitation.segment import ToneSegment
from dsp.excitation.stepped_sine import Zone, stepped_sine
from dsp.excitation.tones import tones
from dsp.response.tone_answer import tone_answer
from tests.dsp.response.played import (
    RATE,
    CurrentThrough,
    Resonant,
    Response,
    answer,
    distorted,
    one_sweep,
    wire,
)

THREE = (
    Zone(from_hz=20_000, to_hz=2500, per_octave=12),
    Zone(from_hz=2400, to_hz=200, per_octave=6),
    Zone(from_hz=190, to_hz=40, per_octave=12),
)


def stepped(
    *zones: Zone, hold_periods: float = 5, settle_s: float = 0.02, peak_v: float = 4.0
) -> Excitation:
    part = stepped_sine(
        sample_rate_hz=RATE,
        zones=zones,
        settle_periods=1,
        settle_s=settle_s,
        hold_periods=hold_periods,
        hold_s=0.02,
        peak_v=peak_v,
    )
    return assemble([part], sample_rate_hz=RATE)


def long_tones(*hz: float, dwell_s: float = 0.3, peak_v: float = 1.0) -> Excitation:
    part = tones(sample_rate_hz=RATE, hz=hz, dwell_s=dwell_s, peak_v=peak_v)
    return assemble([part], sample_rate_hz=RATE)


WIDE = stepped(*THREE)
LOW = stepped(Zone(from_hz=1000, to_hz=62.5, per_octave=3), peak_v=1.0)


def test_a_channel_that_repeats_the_drive_holds_its_rms_at_phase_zero_and_no_harmonics() -> None:
    got = tone_answer(WIDE.samples, excitation=WIDE, segment_index=0, orders=20)
    np.testing.assert_allclose(got.fundamental, 4 / np.sqrt(2), rtol=0, atol=1e-9)
    assert np.nanmax(np.abs(got.amplitude[1:])) < 1e-9
    assert np.all(np.diff(got.frequency_hz) > 0)
    assert got.frequency_hz[[0, -1]] == pytest.approx([40, 20_000])


def test_orders_above_47_hundredths_of_the_rate_are_not_read() -> None:
    got = tone_answer(WIDE.samples, excitation=WIDE, segment_index=0, orders=20)
    order = np.arange(1, 21)[:, None]
    readable = order * got.frequency_hz <= 0.47 * RATE + 1e-6
    np.testing.assert_array_equal(np.isfinite(got.amplitude), readable)
    np.testing.assert_array_equal(np.isfinite(got.noise), readable)


@pytest.mark.parametrize(
    ("peak_v", "h1", "h2", "h3"),
    [
        (1.0, 1.0375, 0.05, 0.0125),
        (0.5, 0.5046875, 0.0125, 0.0015625),
        (0.1, 0.1000375, 0.0005, 0.0000125),
    ],
)
def test_a_polynomial_gives_the_harmonics_of_the_closed_form(
    *, peak_v: float, h1: float, h2: float, h3: float
) -> None:
    # y = x + 0.1 x^2 + 0.05 x^3 (Novak, Lotton, Simon, J. Audio Eng. Soc. 63 (2015) 786)
    excitation = stepped(Zone(from_hz=5000, to_hz=50, per_octave=3), peak_v=peak_v)
    x: Floats = excitation.samples
    got = tone_answer(
        np.asarray(x + 0.1 * x**2 + 0.05 * x**3), excitation=excitation, segment_index=0, orders=4
    )
    wanted = np.array([h1, h2, h3, 0.0])[:, None] / np.sqrt(2) * np.ones(got.frequency_hz.size)
    np.testing.assert_allclose(got.amplitude, wanted, rtol=0, atol=1e-9 * peak_v)


@pytest.mark.parametrize("order", range(2, 21))
def test_a_chebyshev_polynomial_gives_its_own_order_alone(order: int) -> None:
    # T_n(cos a) = cos n a (Abramowitz & Stegun 1964, chapter 22)
    own = [0.0] * order + [1.0]
    wave = np.asarray(np.polynomial.chebyshev.chebval(LOW.samples, own), dtype=np.float64)
    got = tone_answer(wave, excitation=LOW, segment_index=0, orders=20)
    wanted = np.zeros((20, got.frequency_hz.size))
    wanted[order - 1] = 1 / np.sqrt(2)
    np.testing.assert_allclose(got.amplitude, wanted, rtol=0, atol=1e-9)


@pytest.mark.parametrize(
    ("clip", "h1", "thd_percent", "percent"),
    [
        (0.9, 0.96261393, 4.21993, {3: 3.28632, 5: -2.28728, 7: 1.19547, 9: -0.30665}),
        (0.7, 0.81187960, 13.75879, {3: 13.32756, 5: -2.45227, 7: -1.97552, 9: 0.77986}),
        (0.5, 0.60899778, 23.29381, {3: 22.63263, 5: 4.52653, 7: -1.61662, 9: -2.26326}),
        (0.3, 0.37616234, 32.95923, {3: 29.38305, 5: 13.39867, 7: 5.85310, 9: 1.69930}),
    ],
)
def test_a_clipped_sine_has_the_harmonics_of_its_fourier_series(
    *, clip: float, h1: float, thd_percent: float, percent: dict[int, float]
) -> None:
    excitation = long_tones(100.0, 61.7)
    wave = np.clip(excitation.samples, -clip, clip)
    got = tone_answer(wave, excitation=excitation, segment_index=0, orders=60).amplitude
    # 480 samples a period and more: single orders within 1e-4 of h1, as the tail aliases
    np.testing.assert_allclose(np.abs(got[0]) * np.sqrt(2), h1, rtol=0, atol=1e-4 * h1)
    for order, wanted in percent.items():
        # sin nx = (-1)^((n-1)/2) cos n(x - 90 degrees) for odd n
        sign = (-1) ** ((order - 1) // 2)
        ratio = 100 * got[order - 1] / got[0] * sign
        np.testing.assert_allclose(ratio, wanted, rtol=0, atol=1e-2)
    thd = 100 * np.sqrt(np.sum(np.abs(got[1:]) ** 2, axis=0)) / np.abs(got[0])
    np.testing.assert_allclose(thd, thd_percent, rtol=2e-3)


@pytest.mark.parametrize(
    ("unit", "settle_s"),
    # The second rings for Q/(pi f) = 8.7 ms: -60 dB take it 60 ms.
    [(Resonant(q=0.7), 0.02), (Resonant(q=1.5, hz=55.0), 0.06), (CurrentThrough(), 0.02)],
)
def test_a_settled_point_of_a_linear_unit_is_its_response(unit: Response, settle_s: float) -> None:
    excitation = stepped(*THREE, settle_s=settle_s)
    got = tone_answer(answer(excitation, unit), excitation=excitation, segment_index=0, orders=1)
    ratio = got.fundamental * np.sqrt(2) / 4 / unit(got.frequency_hz)
    assert np.max(np.abs(20 * np.log10(np.abs(ratio)))) < 0.01
    assert np.max(np.abs(np.degrees(np.angle(ratio)))) < 0.1


def test_second_and_third_at_minus_40_db_come_within_a_tenth_of_a_db_of_steady_state() -> None:
    unit = Resonant(q=0.7)
    second, third = 0.02 / 4, 0.04 / 16  # -40 dB each at 4 V peak
    channel = distorted(WIDE, second=second, third=third, response=unit)
    got = tone_answer(channel, excitation=WIDE, segment_index=0, orders=20)
    f = got.frequency_hz
    for order, peak in ((1, 4 + 0.75 * third * 64), (2, second * 8), (3, third * 16)):
        read = np.isfinite(got.amplitude[order - 1])
        wanted = peak / np.sqrt(2) * unit(order * f[read])
        error_db = 20 * np.log10(np.abs(got.amplitude[order - 1][read] / wanted))
        assert np.max(np.abs(error_db)) < 0.1
        assert np.count_nonzero(read) == np.count_nonzero(order * f < 0.47 * RATE)


def test_distortion_behind_a_resonance_comes_within_a_tenth_of_a_db_of_steady_state() -> None:
    unit = Resonant(q=0.9)
    second, third = 0.02 / 4, 0.04 / 16
    moved = replace(WIDE, samples=answer(WIDE, unit))
    channel = distorted(moved, second=second, third=third, response=wire)
    got = tone_answer(channel, excitation=WIDE, segment_index=0, orders=20)
    f = got.frequency_hz
    inner = 4 * unit(f)
    for order, peak in ((2, second * inner**2 / 2), (3, third * inner**3 / 4)):
        read = np.isfinite(got.amplitude[order - 1]) & (np.abs(inner) > 3)
        error_db = 20 * np.log10(np.abs(got.amplitude[order - 1] * np.sqrt(2) / peak)[read])
        assert np.max(np.abs(error_db)) < 0.1


def test_two_periods_are_enough_and_less_is_refused() -> None:
    short = stepped(Zone(from_hz=100, to_hz=50, per_octave=2), hold_periods=2, peak_v=1.0)
    got = tone_answer(short.samples, excitation=short, segment_index=0, orders=20)
    np.testing.assert_allclose(got.fundamental, 1 / np.sqrt(2), rtol=0, atol=1e-9)
    segment = short.segments[0]
    assert isinstance(segment, ToneSegment)
    cut = replace(short, segments=(replace(segment, hold_stop=segment.hold_stop - 40),))
    with pytest.raises(DspError, match="held for less than two periods: given 100 Hz"):
        tone_answer(short.samples, excitation=cut, segment_index=0, orders=5)


def test_a_tone_that_came_twice_is_the_mean_of_both() -> None:
    once, twice = long_tones(100.0), long_tones(100.0, 100.0)
    rng = np.random.default_rng(4)
    alone, both = (
        tone_answer(
            e.samples + 0.01 * rng.standard_normal(e.samples.size),
            excitation=e,
            segment_index=0,
            orders=3,
        )
        for e in (once, twice)
    )
    assert both.frequency_hz.size == 1
    np.testing.assert_allclose(both.fundamental, 1 / np.sqrt(2), atol=5 * float(both.noise[0, 0]))
    # Half the variance, each told by more than 100 degrees of freedom.
    np.testing.assert_allclose(both.noise / alone.noise, np.sqrt(0.5), rtol=0.2)


def noisy(excitation: Excitation, *, colour: str, rng: np.random.Generator) -> Floats:
    samples = excitation.samples.size
    noise = rng.standard_normal(next_fast_len(samples, real=True))
    if colour == "pink":
        f = np.maximum(np.fft.rfftfreq(noise.size, 1 / RATE), 5)
        noise = np.fft.irfft(np.fft.rfft(noise) / np.sqrt(f / 1000), noise.size)
    return np.asarray(excitation.samples + 1e-3 * noise[:samples])


@pytest.mark.parametrize("colour", ["white", "pink"])
@pytest.mark.parametrize("hold_periods", [2, 5, 20])
def test_two_sigma_hold_the_truth_in_93_to_97_of_a_hundred(
    colour: str, hold_periods: float
) -> None:
    excitation = stepped(
        Zone(from_hz=4000, to_hz=80, per_octave=4), hold_periods=hold_periods, peak_v=1.0
    )
    rng = np.random.default_rng(11)
    held = []
    for _ in range(60):
        got = tone_answer(
            noisy(excitation, colour=colour, rng=rng),
            excitation=excitation,
            segment_index=0,
            orders=5,
        )
        truth = np.zeros(got.amplitude.shape)
        truth[0] = 1 / np.sqrt(2)
        off = (got.amplitude - truth) / got.noise
        held += [np.abs(off.real) < 2, np.abs(off.imag) < 2]
    assert 0.93 < np.mean(held) < 0.97


def test_scatter_is_the_bound_of_a_sine_at_known_frequency() -> None:
    # Var of amplitude 2 s^2/N, of phase 2 s^2/(A^2 N) (Rife & Boorstyn, IEEE Trans. IT-20 (1974)
    # 591); 400 runs tell a standard deviation within 14 %, four standard errors.
    excitation = long_tones(997.3, dwell_s=0.16)
    segment = excitation.segments[0]
    assert isinstance(segment, ToneSegment)
    samples = int(segment.hold_stop[0] - segment.hold_start[0])
    rng = np.random.default_rng(6)
    sigma = 0.01
    runs = [
        tone_answer(
            excitation.samples + sigma * rng.standard_normal(excitation.samples.size),
            excitation=excitation,
            segment_index=0,
            orders=1,
        )
        for _ in range(400)
    ]
    phasors = np.array([run.fundamental[0] for run in runs]) * np.sqrt(2)
    bound = sigma * np.sqrt(2 / samples)
    assert np.std(np.abs(phasors)) == pytest.approx(bound, rel=0.14)
    assert np.std(np.angle(phasors)) == pytest.approx(bound, rel=0.14)
    told = np.sqrt(np.mean([run.noise[0, 0] ** 2 for run in runs])) * np.sqrt(2)
    assert told == pytest.approx(bound, rel=0.14)


def test_a_disturbance_during_one_tone_raises_the_noise_of_that_tone_alone() -> None:
    excitation = long_tones(100.0, 150.0, 220.0)
    segment = excitation.segments[0]
    assert isinstance(segment, ToneSegment)
    rng = np.random.default_rng(8)
    channel = excitation.samples + 1e-4 * rng.standard_normal(excitation.samples.size)
    clean = tone_answer(channel, excitation=excitation, segment_index=0, orders=5)
    slam = slice(segment.hold_start[1] + 3000, segment.hold_start[1] + 4000)
    channel[slam] += 1e-2 * rng.standard_normal(1000)
    hit = tone_answer(channel, excitation=excitation, segment_index=0, orders=5)
    ratio = hit.noise / clean.noise
    np.testing.assert_allclose(ratio[:, [0, 2]], 1.0, rtol=1e-9)
    assert np.all(ratio[:, 1] > 5)


def test_another_segment_and_a_channel_too_short_are_refused() -> None:
    sweep = one_sweep(duration_s=0.2)
    with pytest.raises(DspError, match="not a segment of tones: given LogSweepSegment"):
        tone_answer(sweep.samples, excitation=sweep, segment_index=0, orders=2)
    with pytest.raises(DspError, match="channel too short: given 5000"):
        tone_answer(LOW.samples[:5000], excitation=LOW, segment_index=0, orders=2)
    with pytest.raises(DspError, match="orders outside: given 0, allowed 1 and above"):
        tone_answer(LOW.samples, excitation=LOW, segment_index=0, orders=0)
    with pytest.raises(DspError, match="not finite"):
        tone_answer(LOW.samples * np.nan, excitation=LOW, segment_index=0, orders=1)
