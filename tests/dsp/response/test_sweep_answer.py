from dataclasses import dataclass

import numpy as np
import pytest

from dsp import Complexes, DspError, Floats
from dsp.excitation.assemble import assemble
from dsp.excitation.excitation import Excitation
from dsp.excitation.log_sweep import log_sweep
from dsp.grid import log_grid
from dsp.response.quiet_noise import quiet_noise
from dsp.response.sweep_answer import SweepAnswer, sweep_answer
from dsp.response.sweep_plan import sweep_plan
from tests.dsp.response.played import (
    RATE,
    CurrentThrough,
    Resonant,
    Response,
    answer,
    distorted,
    one_sweep,
    wire,
    with_noise,
)

GRID = log_grid(low_hz=20, high_hz=20_000, per_octave=48)


def read(
    channel: Floats,
    excitation: Excitation,
    *,
    orders: int = 1,
    grid: Floats = GRID,
    index: int = 0,
    gate_s: float | None = None,
) -> SweepAnswer:
    return sweep_answer(
        channel,
        excitation=excitation,
        segment_index=index,
        orders=orders,
        frequency_hz=grid,
        noise=quiet_noise(channel, excitation=excitation),
        gate_s=gate_s,
    )


def error_db(got: Complexes, true: Complexes) -> float:
    return float(np.max(np.abs(20 * np.log10(np.abs(got / true)))))


def error_deg(got: Complexes, true: Complexes) -> float:
    return float(np.max(np.abs(np.degrees(np.angle(got / true)))))


@pytest.mark.parametrize(
    ("rate", "duration_s", "response"),
    [
        (44_100.0, 1.0, Resonant(q=0.7)),
        (48_000.0, 1.0, Resonant(q=4.0)),
        (48_000.0, 1.0, CurrentThrough(q=4.0)),
        (48_000.0, 2.0, Resonant(q=4.0)),
        (48_000.0, 2.0, CurrentThrough(q=0.7)),
        (96_000.0, 1.0, Resonant(q=0.7)),
        (96_000.0, 2.0, CurrentThrough(q=4.0)),
    ],
)
def test_the_fundamental_of_a_linear_unit_holds_the_bar_at_80_db(
    rate: float, duration_s: float, response: Response
) -> None:
    # The bar: 0.02 dB and 0.2 deg with 1 s, 0.01 dB and 0.1 deg with 2 s, 20 Hz to 20 kHz.
    sweep = one_sweep(rate=rate, duration_s=duration_s)
    true = response(GRID) * 4 / np.sqrt(2)
    clean = answer(sweep, response)
    got = read(with_noise(clean, sweep, snr_db=80, seed=3), sweep).harmonics.fundamental
    bar = 0.02 / duration_s
    assert error_db(got, true) < bar
    assert error_deg(got, true) < 10 * bar
    # Without noise what is left is the method's own error: a hundredth of the bar.
    got = read(clean, sweep).harmonics.fundamental
    assert error_db(got, true) < 2e-4
    assert error_deg(got, true) < 2e-3


def test_impedance_from_two_answers_holds_the_bar_at_80_db() -> None:
    # The bar: 0.1 % and 0.1 deg.
    sweep, unit = one_sweep(), CurrentThrough()

    def voltage(f: Floats) -> Complexes:
        return np.asarray(unit.impedance(f) * unit(f))

    through: tuple[Response, ...] = (voltage, unit)
    v, i = (
        read(with_noise(answer(sweep, h), sweep, snr_db=80, seed=seed), sweep).harmonics.fundamental
        for seed, h in enumerate(through)
    )
    ratio = v / i / unit.impedance(GRID)
    assert np.max(np.abs(np.abs(ratio) - 1)) < 1e-3
    assert np.max(np.abs(np.degrees(np.angle(ratio)))) < 0.1


@pytest.mark.parametrize(("duration_s", "start_hz"), [(0.3, 20.0), (1.0, 20.0), (5.0, 15.0)])
def test_the_whole_span_is_usable_from_its_first_hertz(duration_s: float, start_hz: float) -> None:
    sweep = one_sweep(duration_s=duration_s, start_hz=start_hz)
    grid = log_grid(low_hz=start_hz, high_hz=20_000, per_octave=12)
    got = read(answer(sweep, Resonant()), sweep, grid=grid).harmonics.fundamental
    true = Resonant()(grid) * 4 / np.sqrt(2)
    assert error_db(got, true) < 0.002
    assert error_deg(got, true) < 0.02


@pytest.mark.parametrize("peak", [1.0, 0.5])
def test_a_polynomial_gives_the_series_phases_included(peak: float) -> None:
    # REFERENCE 1.1: y = x + 0.1 x^2 + 0.05 x^3; h1 = A + 3/4 0.05 A^3 at 0, h2 = A^2/20 at -90,
    # h3 = A^3/80 at 180 deg of a sine; in the cosine's convention of Harmonics 0, 0 and 0.
    sweep = one_sweep(duration_s=5.0, start_hz=20.0, peak_v=peak)
    channel = distorted(sweep, second=0.1, third=0.05, response=wire)
    grid = log_grid(low_hz=160, high_hz=3300, per_octave=12)
    got = read(channel, sweep, orders=3, grid=grid).harmonics.amplitude * np.sqrt(2)
    series = (peak + 0.0375 * peak**3, 0.05 * peak**2, 0.0125 * peak**3)
    for row, amplitude in zip(got, series, strict=True):
        true = np.full(grid.size, amplitude + 0j)
        assert error_db(row, true) < 0.01
        assert error_deg(row, true) < 0.5


def test_h2_and_h3_at_minus_40_db_and_their_sum_hold_the_bar_at_80_db() -> None:
    # The bar: 0.3 dB from a 1 s sweep; here -40 dB re the drive each.
    sweep, unit = one_sweep(peak_v=1.0), Resonant()
    channel = distorted(sweep, second=0.02, third=0.04, response=unit)
    got = read(with_noise(channel, sweep, snr_db=80, seed=1), sweep, orders=3).harmonics
    tones = got.amplitude * np.sqrt(2)
    true = [1.03 * unit(GRID), 0.01 * unit(2 * GRID), 0.01 * unit(3 * GRID)]
    for row, expected in zip(tones, true, strict=True):
        seen = np.isfinite(row)
        assert error_db(row[seen], expected[seen]) < 0.3
    seen = np.isfinite(tones[2])
    thd, expected_thd = (
        np.sqrt(np.abs(t[1][seen]) ** 2 + np.abs(t[2][seen]) ** 2) / np.abs(t[0][seen])
        for t in (tones, true)
    )
    assert np.max(np.abs(20 * np.log10(thd / expected_thd))) < 0.3


def test_orders_of_a_sweep_that_ends_low_are_read_far_above_its_end() -> None:
    sweep, unit = one_sweep(start_hz=15.0, stop_hz=1000.0, peak_v=1.0), Resonant()
    channel = distorted(sweep, second=0.02, third=0.04, response=unit)
    grid = log_grid(low_hz=30, high_hz=1000, per_octave=12)
    got = read(channel, sweep, orders=3, grid=grid).harmonics.amplitude * np.sqrt(2)
    assert error_db(got[1], 0.01 * unit(2 * grid)) < 0.2
    assert error_db(got[2], 0.01 * unit(3 * grid)) < 0.2


def test_orders_beyond_the_converters_band_are_missing_and_not_zero() -> None:
    sweep = one_sweep(duration_s=0.5)
    got = read(answer(sweep, wire), sweep, orders=3).harmonics
    beyond = 3 * GRID > 0.47 * RATE
    assert np.all(np.isnan(got.amplitude[2, beyond]))
    assert np.all(np.isnan(got.noise[2, beyond]))
    assert np.all(np.isfinite(got.amplitude[2, 3 * GRID < 0.45 * RATE]))


@pytest.mark.parametrize("pink", [False, True])
@pytest.mark.parametrize("snr_db", [60.0, 80.0])
def test_two_deviations_hold_the_truth_in_93_to_97_of_100(pink: bool, snr_db: float) -> None:
    sweep, unit = one_sweep(), Resonant()
    plan = sweep_plan(sweep, segment_index=0, orders=1)
    clean = answer(sweep, unit)
    true = unit(GRID) * 4 / np.sqrt(2)
    inside = []
    for seed in range(30):
        channel = with_noise(clean, sweep, snr_db=snr_db, seed=seed, pink=pink)
        got = sweep_answer(
            channel,
            excitation=sweep,
            segment_index=0,
            orders=1,
            frequency_hz=GRID,
            noise=quiet_noise(channel, excitation=sweep),
            plan=plan,
        ).harmonics
        error = (got.fundamental - true) * np.exp(-1j * np.angle(true))
        inside += [np.abs(error.real) < 2 * got.noise[0], np.abs(error.imag) < 2 * got.noise[0]]
    assert 0.93 < np.mean(inside) < 0.97


def test_each_sweep_of_a_series_is_read_from_its_own_stretch() -> None:
    parts = [
        log_sweep(sample_rate_hz=RATE, start_hz=10, stop_hz=20_000, duration_s=seconds, peak_v=peak)
        for seconds, peak in ((1.0, 4.0), (0.5, 1.0))
    ]
    series = assemble(parts, sample_rate_hz=RATE, repeat=2, tail_s=0.3)
    channel = answer(series, Resonant())
    for index, peak in enumerate((4.0, 4.0, 1.0, 1.0)):
        got = read(channel, series, index=index).harmonics.fundamental
        true = Resonant()(GRID) * peak / np.sqrt(2)
        assert error_db(got, true) < 0.005
        assert error_deg(got, true) < 0.02


def test_a_gate_cuts_a_reflection_off() -> None:
    # Common practice, no source: valid from 2 / gate to 0.1 to 0.2 dB for a smooth unit.
    sweep, unit, gate_s = one_sweep(), Resonant(), 0.0078

    def in_a_room(f: Floats) -> Complexes:
        return np.asarray(unit(f) * (1 + 0.5 * np.exp(-2j * np.pi * f * gate_s / 0.97)))

    grid = log_grid(low_hz=2 / gate_s, high_hz=20_000, per_octave=24)
    channel = answer(sweep, in_a_room)
    gated = read(channel, sweep, grid=grid, gate_s=gate_s).harmonics.fundamental
    true = unit(grid) * 4 / np.sqrt(2)
    assert error_db(gated, true) < 0.2
    assert error_db(read(channel, sweep, grid=grid).harmonics.fundamental, true) > 3


def test_the_impulse_of_a_wire_is_one_sample_at_time_zero() -> None:
    sweep = one_sweep(duration_s=0.5)
    got = read(answer(sweep, wire), sweep).impulse
    assert np.argmax(np.abs(got.samples)) == got.zero_index == got.arrival_index
    # All of it but the part above the sweep's end, 21.8 of 24 kHz.
    assert got.samples[got.zero_index] == pytest.approx(0.9, abs=0.03)


def test_a_plan_made_before_gives_the_same_answer() -> None:
    sweep = one_sweep(duration_s=0.5)
    channel = answer(sweep, Resonant())
    noise = quiet_noise(channel, excitation=sweep)
    plan = sweep_plan(sweep, segment_index=0, orders=5)
    with_plan, without = (
        sweep_answer(
            channel,
            excitation=sweep,
            segment_index=0,
            orders=2,
            frequency_hz=GRID[:-1],
            noise=noise,
            plan=prepared,
        )
        for prepared in (plan, None)
    )
    np.testing.assert_array_equal(with_plan.harmonics.amplitude, without.harmonics.amplitude)


@dataclass(frozen=True, kw_only=True)
class Asked:
    low: float = 20.0
    high: float = 1000.0
    orders: int = 1
    gate_s: float | None = None


@pytest.mark.parametrize(
    ("asked", "words"),
    [
        (Asked(low=5.0), "below the sweep"),
        (Asked(high=22_000.0), "above the sweep"),
        (Asked(orders=0), "orders: given 0, allowed 1 to 40"),
        (Asked(gate_s=0.0), r"gate_s: given 0\.0, allowed above 0"),
    ],
)
def test_what_the_sweep_cannot_tell_is_refused(asked: Asked, words: str) -> None:
    sweep = one_sweep(duration_s=0.5)
    grid = log_grid(low_hz=asked.low, high_hz=asked.high, per_octave=3)
    with pytest.raises(DspError, match=words):
        read(answer(sweep, wire), sweep, orders=asked.orders, grid=grid, gate_s=asked.gate_s)


def test_a_channel_that_ends_before_the_decay_is_refused() -> None:
    sweep = one_sweep(duration_s=0.5)
    channel = answer(sweep, wire)[: sweep.mark_starts[1] - 10]
    with pytest.raises(DspError, match="recording too short"):
        read(channel, sweep)
