"""Distance, one reflection, and what a gate makes of it.

Sources: law of the inverse distance, and the exact on-axis pressure of a baffled piston at low
frequencies (Kinsler and Frey, Fundamentals of Acoustics, closed form evaluated apart); image
source for a floor, c 343 m/s. That a response cut to T holds from about 1 / T on is common
practice without a source; Dustcap claims no more than from 2 / T.
"""

from dataclasses import dataclass

import numpy as np
import pytest

from dsp import Complexes, Floats, ValidRange
from dsp.acoustic.level import level
from dsp.acoustic.valid_range import valid_range
from dsp.response.quiet_noise import quiet_noise
from dsp.response.sweep_answer import SweepAnswer, sweep_answer
from tests.dsp.analytic_unit import phasors
from tests.dsp.response.played import answer, one_sweep

EVERYWHERE = ValidRange(low_hz=1.0, high_hz=24_000.0)


def level_at(pressure_pa: float, *, distance_m: float) -> float:
    hz = np.array([100.0])
    curve = level(
        phasors(hz, np.array([pressure_pa + 0j])),
        voltage=phasors(hz, np.array([1.0 + 0j])),
        reference_v=1.0,
        distance_m=distance_m,
        reference_distance_m=1.0,
        valid=EVERYWHERE,
    )
    return float(curve.value[0])


@pytest.mark.parametrize(
    ("distance_m", "offset_db"), [(0.1, -20.0), (0.316, -10.0063), (0.5, -6.0206), (2.0, 6.0206)]
)
def test_a_level_is_referred_to_1_m_by_the_inverse_of_the_distance(
    distance_m: float, offset_db: float
) -> None:
    moved = level_at(1.0, distance_m=distance_m) - level_at(1.0, distance_m=1.0)
    assert moved == pytest.approx(offset_db, abs=5e-5)


@pytest.mark.parametrize(
    ("distance_m", "error_db"), [(0.1, -0.7989), (0.25, -0.1432), (0.316, -0.0905), (1.0, -0.0092)]
)
def test_near_a_piston_of_65_mm_radius_that_law_reads_low_by_the_closed_form(
    distance_m: float, error_db: float
) -> None:
    # Known limit: low frequencies on the axis, p ~ sqrt(r^2 + a^2) - r instead of a^2 / (2 r).
    a = 0.065
    near = np.hypot(distance_m, a) - distance_m
    far = a**2 / 2  # at 1 m by 1/r
    got = level_at(float(near), distance_m=distance_m) - level_at(far, distance_m=1.0)
    assert got == pytest.approx(error_db, abs=5e-5)


# A flat source and one reflection


@dataclass(frozen=True, kw_only=True)
class Reflected:
    """Direct sound after 1 m of air, and one reflection of it."""

    gain: float
    later_s: float
    rolls_off_hz: float = 0.0

    def __call__(self, f: Floats) -> Complexes:
        direct = np.exp(-2j * np.pi * f / 343)
        if self.rolls_off_hz:
            s = 1j * f / self.rolls_off_hz
            direct = direct * s**2 / (1 + np.sqrt(2) * s + s**2)
        return np.asarray(direct * (1 + self.gain * np.exp(-2j * np.pi * f * self.later_s)))


def swept(response: Reflected, *, hz: Floats, gate_s: float | None = None) -> SweepAnswer:
    played = one_sweep(duration_s=1.0)
    heard = answer(played, response)
    return sweep_answer(
        heard,
        excitation=played,
        segment_index=0,
        orders=1,
        frequency_hz=hz,
        noise=quiet_noise(heard, excitation=played),
        gate_s=gate_s,
    )


def level_db(found: SweepAnswer) -> Floats:
    return np.asarray(20 * np.log10(np.abs(found.harmonics.fundamental) / (4 / np.sqrt(2))))


@pytest.mark.parametrize(("gain", "ripple_db"), [(0.01, 0.1737), (0.1, 1.7430), (0.3162, 5.6879)])
def test_an_ungated_reflection_ripples_by_the_closed_form_with_its_period(
    gain: float, ripple_db: float
) -> None:
    # 20 log10((1 + g) / (1 - g)), spacing 1 / T; T = 5 ms
    hz = np.arange(2000.0, 6000.0, 10.0)
    curve = level_db(swept(Reflected(gain=gain, later_s=0.005), hz=hz))
    assert np.ptp(curve) == pytest.approx(ripple_db, abs=0.01)
    tops = hz[1:-1][(curve[1:-1] > curve[:-2]) & (curve[1:-1] >= curve[2:])]
    np.testing.assert_allclose(np.diff(tops), 200.0, atol=20.0)


@pytest.mark.parametrize(
    ("distance_m", "height_m", "later_ms", "lowest_hz", "reflection_db"),
    [
        (1.0, 1.2, 4.66472, 214.375, -8.299),
        (1.0, 2.0, 9.10526, 109.827, -12.304),
        (0.5, 1.2, 5.68959, 175.760, -13.809),
    ],
)
def test_a_gate_before_the_floor_s_reflection_takes_it_out(
    distance_m: float, height_m: float, later_ms: float, lowest_hz: float, reflection_db: float
) -> None:
    # Image source: path sqrt(d^2 + 4 h^2), amplitude d over path.
    path_m = np.hypot(distance_m, 2 * height_m)
    assert 1000 * (path_m - distance_m) / 343 == pytest.approx(later_ms, abs=5e-6)
    assert 20 * np.log10(distance_m / path_m) == pytest.approx(reflection_db, abs=5e-4)
    room = Reflected(gain=float(distance_m / path_m), later_s=later_ms / 1000)
    gate_s = 0.98 * later_ms / 1000
    hz = np.arange(50.0, 15_000.0, 25.0)
    held = hz >= 2 * lowest_hz / 0.98
    assert np.ptp(level_db(swept(room, hz=hz))[held]) > 3.0
    gated = swept(room, hz=hz, gate_s=gate_s)
    np.testing.assert_allclose(level_db(gated)[held], 0, atol=0.02)
    # What it costs is told: nothing below 2 / T, which is above the 1 / T of common practice.
    told = valid_range(
        gated.harmonics, snr_db=20, excitation=EVERYWHERE, sample_rate_hz=48_000, gate_s=gate_s
    )
    assert told.low_reason == "gate"
    assert told.low_hz == pytest.approx(2 * lowest_hz / 0.98, rel=1e-5)


@pytest.mark.parametrize("gate_ms", [5.0, 10.0, 20.0])
def test_from_twice_1_over_t_a_gated_50_hz_high_pass_is_right_to_a_fifth_of_a_decibel(
    gate_ms: float,
) -> None:
    # A Butterworth of second order. A plain cut after 5 ms errs by 0.10 dB at 200 Hz and by
    # 1.87 dB at 50 Hz: there the gate must have been told to fail.
    unit = Reflected(gain=0.0, later_s=0.0, rolls_off_hz=50.0)
    low_hz = 2000 / gate_ms
    hz = np.geomspace(low_hz, 10 * low_hz, 60)
    error = level_db(swept(unit, hz=hz, gate_s=gate_ms / 1000)) - 20 * np.log10(np.abs(unit(hz)))
    assert np.abs(error).max() < 0.2
    if gate_ms < 20:
        below = np.array([50.0])
        short = level_db(swept(unit, hz=below, gate_s=gate_ms / 1000))
        assert abs(float(short[0]) - 20 * np.log10(abs(unit(below)[0]))) > 1.0
