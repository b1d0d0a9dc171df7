"""Every fault shows where and how the trade says that it does."""

import math
from typing import Any

import numpy as np
import pytest

from dsp import Floats
from hardware.chain.virtual_schema import Faults
from hardware.virtual.bench import bench_of
from hardware.virtual.driver import at_rest, driver_of
from hardware.virtual.faults import with_faults
from hardware.virtual.truth import small_signal
from hardware.virtual.unit import T130
from tests.hardware.virtual.taking import multitone, orders, snapshot, take, tone
from tests.hardware.virtual.test_truth import AIR

RATE = 48_000.0


def heard(v_rms: float = 2.83, frequency_hz: float = 60.0, **faults: Any) -> Floats:
    chain = snapshot(faults=faults)
    return take(tone(frequency_hz, v_rms=v_rms), chain=chain).pressure_pa


def high_orders(pressure: Floats, frequency_hz: float = 60.0) -> float:
    """dB re the first order, of 10 to 20."""
    found = orders(pressure, frequency_hz=frequency_hz, count=20)
    return float(20 * np.log10(np.linalg.norm(found[9:]) / found[0]))


def thd_db(pressure: Floats) -> float:
    found = orders(pressure, frequency_hz=60.0, count=5)
    return float(20 * np.log10(np.linalg.norm(found[1:]) / found[0]))


def above_db(pressure: Floats, frequency_hz: float = 60.0) -> float:
    """Energy above 9.5 times the tone re all."""
    lines = np.abs(np.fft.rfft(pressure[7200:][:48_000])) ** 2
    return float(10 * np.log10(np.sum(lines[round(9.5 * frequency_hz) :]) / np.sum(lines[1:])))


def periods(pressure: Floats) -> Floats:
    """(60, 800): what lies above 2 kHz, period by period."""
    spectrum = np.fft.rfft(pressure[7200:][:48_000])
    spectrum[:2000] = 0
    return np.fft.irfft(spectrum).reshape(60, 800)


def test_a_magnet_with_a_tenth_less_flux_costs_the_level_and_damping_of_the_formula() -> None:
    # Level above fs by 20 lg 0.9 = -0.9151 dB (no inductance seen), Qes by 1 / 0.9^2 = 1.2346.
    weak = with_faults(T130, faults=Faults(weak_magnet=0.2)).unit
    good, bad = small_signal(T130, air=AIR), small_signal(weak, air=AIR)
    assert bad.sensitivity_db - good.sensitivity_db == pytest.approx(-0.9151, abs=1e-4)
    assert bad.qes / good.qes == pytest.approx(1.2346, abs=1e-4)
    assert bad.fs_hz == good.fs_hz


@pytest.mark.parametrize(
    ("fault", "sign_fs", "sign_vas", "sign_level"),
    [
        ({"stiff_suspension": 0.3}, 1, -1, 0),
        ({"soft_suspension": 0.3}, -1, 1, 0),
        ({"wrong_mass": 0.3}, -1, 0, -1),
        ({"wrong_mass": -0.3}, 1, 0, 1),
    ],
)
def test_parameters_move_the_way_they_must(
    fault: dict[str, float], sign_fs: int, sign_vas: int, sign_level: int
) -> None:
    good = small_signal(T130, air=AIR)
    bad = small_signal(with_faults(T130, faults=Faults(**fault)).unit, air=AIR)
    for name, sign in (("fs_hz", sign_fs), ("vas_l", sign_vas), ("sensitivity_db", sign_level)):
        change = getattr(bad, name) - getattr(good, name)
        assert np.sign(round(change, 9)) == sign


def test_a_leak_lowers_the_mechanical_quality() -> None:
    leaky = with_faults(T130, faults=Faults(air_leak=0.3)).unit
    assert small_signal(leaky, air=AIR).qms < small_signal(T130, air=AIR).qms


def test_reversed_wiring_changes_the_sign_and_nothing_else() -> None:
    played = multitone()
    right, wrong = (
        take(played.volts, chain=snapshot(linear=True, faults={"wiring_reversed": reverse}))
        for reverse in (False, True)
    )
    loudest = np.max(np.abs(right.pressure_pa))
    np.testing.assert_allclose(wrong.pressure_pa, -right.pressure_pa, rtol=0, atol=1e-6 * loudest)
    np.testing.assert_allclose(wrong.current_a, right.current_a, rtol=0, atol=1e-7)


@pytest.mark.parametrize("frequency_hz", [40.0, 75.0, 150.0])
def test_a_rub_raises_the_high_orders_around_resonance(frequency_hz: float) -> None:
    good = high_orders(heard(frequency_hz=frequency_hz), frequency_hz)
    bad = high_orders(heard(frequency_hz=frequency_hz, coil_rub=0.1), frequency_hz)
    assert bad > max(good + 10, -90)


def test_a_rub_leaves_the_low_orders_alone_and_vanishes_at_a_tenth_of_the_voltage() -> None:
    assert abs(thd_db(heard(coil_rub=0.1)) - thd_db(heard())) < 1
    quiet = high_orders(heard(0.283, coil_rub=0.1)) - high_orders(heard(0.283))
    assert abs(quiet) < 1


@pytest.mark.parametrize(
    ("fault", "level_db"),
    [
        ("coil_rub", -49.0),
        ("loose_joint", -41.0),
        ("particle", -51.0),
        ("air_leak", -31.0),
        ("lead_slap", -38.0),
    ],
)
def test_a_severity_of_a_tenth_is_as_loud_as_agreed(fault: str, level_db: float) -> None:
    # The scale of severities that the detection figures in the documentation are stated on.
    assert above_db(heard(**{fault: 0.1})) == pytest.approx(level_db, abs=2.0)


def test_rub_and_loose_joint_repeat_with_the_tone() -> None:
    for fault in ("coil_rub", "loose_joint"):
        each = periods(heard(**{fault: 0.3}))
        mean = np.mean(each, axis=0)
        assert np.std(each - mean) < 0.05 * np.std(mean)


def test_a_particle_clicks_and_does_not_repeat() -> None:
    each = periods(heard(particle=0.3))
    mean = np.mean(each, axis=0)
    # 60 independent periods would leave 1/sqrt(60) = 0.13 of one in their mean.
    assert np.std(mean) < 0.3 * np.std(each)
    assert np.max(np.abs(each)) > 8 * np.std(each)  # Gaussian noise of this length: about 4.3


def test_a_leak_hisses_when_the_cone_moves_fast() -> None:
    each = periods(heard(air_leak=0.3))
    energy = np.mean(each**2, axis=0)
    turns = np.exp(-2j * np.pi * 2 * np.arange(800) / 800)  # v^2 swells twice a period
    assert np.abs(np.sum(energy * turns)) / np.sum(energy) > 0.3
    assert np.std(np.mean(each, axis=0)) < 0.3 * np.std(each)


def test_a_lead_strikes_about_once_a_period_and_never_quite_the_same() -> None:
    each = periods(heard(lead_slap=0.3))
    peak = np.max(np.abs(each), axis=1)
    assert np.min(peak) > 0.1 * np.max(peak)
    mean = np.mean(each, axis=0)
    assert np.std(each - mean) > 0.3 * np.std(each)


@pytest.mark.parametrize("fault", ["loose_joint", "lead_slap", "particle", "air_leak"])
def test_ten_times_the_severity_is_twenty_decibels(fault: str) -> None:
    faint, loud = (periods(heard(**{fault: s})) for s in (0.01, 0.1))
    gain = 20 * math.log10(np.std(loud) / np.std(faint))
    assert gain == pytest.approx(20, abs=0.2)


def test_what_nothing_drives_stands_still_whatever_is_wrong_with_it() -> None:
    # A recording of silence leaves the integration out: this is what it would come to.
    worst = Faults(
        coil_rub=1.0, lead_slap=1.0, loose_joint=1.0, particle=1.0, air_leak=1.0, weak_magnet=0.5
    )
    chain = snapshot(faults=worst.model_dump())
    driver = driver_of(bench_of(chain), resistor_ohm=0.2, sample_rate_hz=RATE, seed=3)
    moved, rests = driver.simulate(np.zeros(9600)), at_rest(9600)
    for name in ("acceleration_m_per_s2", "current_a", "source_v", "defects_pa"):
        np.testing.assert_array_equal(getattr(moved, name), getattr(rests, name))
    assert driver._sound is not None  # and there is something that could sound
