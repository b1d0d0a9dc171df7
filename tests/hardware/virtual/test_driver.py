"""The integrated unit against its closed form, and against brute force where it distorts."""

import math
from dataclasses import replace

import numpy as np
import pytest

from hardware.virtual.bench import air_of, bench_of
from hardware.virtual.driver import Driver, motor
from hardware.virtual.driver_kernel import move
from hardware.virtual.radiation import radiation
from hardware.virtual.truth import small_signal, steady_state
from hardware.virtual.unit import T130
from tests.hardware.virtual.taking import multitone, orders, snapshot, take, tone
from tests.hardware.virtual.test_truth import AIR, PLAIN

SOURCE_V = 2.83


@pytest.mark.parametrize("rate", [44_100.0, 48_000.0, 96_000.0])
def test_a_straight_unit_agrees_with_its_closed_form_from_20_hz_to_20_khz(rate: float) -> None:
    played, chain = multitone(rate=rate), snapshot(linear=True)
    found, bench = take(played.volts, chain=chain, rate=rate), bench_of(chain)
    truth, hz = small_signal(bench.unit, air=bench.air), played.frequency_hz
    voltage, current, pressure = (
        played.phasors(s) for s in (found.terminal_v, found.current_a, found.pressure_pa)
    )
    np.testing.assert_allclose(voltage / current, truth.impedance(hz), rtol=1e-5)
    off = pressure / voltage / truth.pressure_per_volt(hz)
    assert np.max(np.abs(20 * np.log10(np.abs(off)))) < 0.001
    assert np.max(np.abs(np.angle(off, deg=True))) < 0.01
    assert (
        np.max(np.abs(played.phasors(found.loopback_v) / played.phasors(played.volts) - 1)) < 5e-6
    )


def test_a_unit_without_inductance_is_integrated_as_well() -> None:
    played = multitone()
    driver = Driver(PLAIN, sample_rate_hz=48_000.0, resistor_ohm=0.5)
    late = np.append(played.volts, np.zeros(driver.delay_samples))
    current = driver.simulate(late).current_a[driver.delay_samples :]
    z = small_signal(PLAIN, air=AIR).impedance(played.frequency_hz) + 0.5
    np.testing.assert_allclose(played.phasors(played.volts) / played.phasors(current), z, rtol=1e-5)


@pytest.mark.parametrize("hz", [50.0, 100.0, 400.0])
def test_harmonics_are_those_of_brute_force(hz: float) -> None:
    # Straight from the driver: a recording's float32 has a floor of its own near -100 dB.
    air = air_of(snapshot().chain.ambient)
    moved = Driver(T130, sample_rate_hz=48_000.0, resistor_ohm=0.22).simulate(
        tone(hz, v_rms=SOURCE_V)
    )
    truth = steady_state(
        T130,
        frequency_hz=hz,
        source_v_rms=SOURCE_V,
        orders=10,
        air=air,
        resistor_ohm=0.22,
    )
    each = hz * np.arange(1.0, 11.0)
    gain = np.abs(radiation(T130, frequency_hz=each, distance_m=1.0, air=air))
    heard = gain * orders(moved.acceleration_m_per_s2, frequency_hz=hz, count=10)
    expected = np.abs(truth.pressure_pa)
    loud = expected > 1e-5 * expected[0]
    assert np.count_nonzero(loud) >= 3
    assert np.max(np.abs(20 * np.log10(heard[loud] / expected[loud]))) < 0.001


@pytest.mark.parametrize(("rub", "limit_db"), [(0.0, -150.0), (1.0, -120.0)])
def test_next_to_nothing_is_folded_back(rub: float, limit_db: float) -> None:
    # 107 divides neither the sample rate nor the integration's: what folds misses the orders.
    found = take(tone(107.0, v_rms=SOURCE_V), chain=snapshot(faults={"coil_rub": rub}))
    second = found.pressure_pa[7200:][:48_000]
    lines = np.abs(np.fft.rfft(second))[:21_840]  # above it, filters let some of it through
    strays = np.delete(lines, np.arange(0, lines.size, 107))
    assert 20 * math.log10(np.max(strays) / lines[107]) < limit_db


def test_the_length_of_the_blocks_changes_nothing() -> None:
    volts = np.random.default_rng(2).standard_normal(3000)
    whole = Driver(T130, sample_rate_hz=48_000.0).simulate(volts)
    driver = Driver(T130, sample_rate_hz=48_000.0)
    cuts = np.split(volts, [1, 2, 258, 1282])
    parts = np.concatenate([driver.simulate(cut).acceleration_m_per_s2 for cut in cuts])
    np.testing.assert_allclose(parts, whole.acceleration_m_per_s2, rtol=0, atol=1e-9)


def test_power_goes_in_and_none_comes_out() -> None:
    # From rest, no passive circuit has given back more than it took at any time.
    volts = tone(75.0, v_rms=4.0, duration_s=0.5)
    volts[12_000:] = 0
    moved = Driver(T130, sample_rate_hz=48_000.0).simulate(volts)
    energy = np.cumsum(moved.source_v * moved.current_a)
    assert np.min(energy) > -1e-6 * np.max(energy)


def test_no_energy_is_made_or_lost_where_everything_is_curved() -> None:
    # What goes in is heat in coil and suspension, or stored in mass, spring and inductance;
    # without the force of the coil's own field, i^2/2 dLe/dx, it would not add up.
    unit = replace(
        T130, l2_h=0.0, r2_ohm=0.0, le_h=2e-3, le_slope_per_m=-150.0, le_span_m=8e-3, friction_n=0.0
    )
    step_s, steps = 2e-7, 400_000
    source = 12 * np.sin(2 * np.pi * 60 * step_s / 2 * np.arange(2 * steps + 2))
    out = np.empty((4, steps))
    move(motor(unit, resistor_ohm=0.0), np.zeros(4), source, step_s, out)
    _, current, velocity, x = out
    taken = float(np.sum(source[2::2] * current)) * step_s
    heat = unit.re_ohm * current**2 + unit.rms_kg_per_s * velocity**2
    inductance = unit.le_h * (1 + unit.le_slope_per_m * x / (1 + (x / unit.le_span_m) ** 2))
    tilt, rise = unit.stiffness_tilt_per_m, unit.stiffness_rise_per_m2
    spring = (x**2 / 2 + tilt * x**3 / 3 + rise * x**4 / 4) / unit.cms_m_per_n
    stored = (spring + (unit.mms_kg * velocity**2 + inductance * current**2) / 2)[-1]
    assert np.ptp(x) > 2e-3
    assert taken == pytest.approx(float(np.sum(heat)) * step_s + stored, rel=1e-5)


def test_positive_voltage_moves_the_cone_outward() -> None:
    # IEC 60268-5: the first significant half cycle of the impulse response is positive.
    volts = np.zeros(4800)
    volts[1000] = 10.0
    pressure = take(volts, chain=snapshot()).pressure_pa
    first = np.flatnonzero(np.abs(pressure) > 0.5 * np.max(np.abs(pressure)))[0]
    assert pressure[first] > 0
