"""Near field against the far field of a baffled piston.

Sources: D. B. Keele, J. Audio Eng. Soc. 22 (1974) 154 (factor, limits ka = 1 and 1.6, 1 dB at a gap
of 0.11 a); L. E. Kinsler, A. R. Frey et al., Fundamentals of Acoustics (pressure on the axis), here
also by the Rayleigh integral; figures evaluated apart from our code.
"""

import math

import numpy as np
import pytest
from scipy.integrate import quad

from dsp.box.enclosure import VentedBox
from dsp.box.motion import motion
from dsp.box.vent import Vent
from dsp.near_field.scale import Radiator, far_over_near, together
from tests.dsp.box.boxed import UNIT
from tests.dsp.near_field.heard import AIR, far_off, heard, on_axis, scaled

HZ = np.geomspace(20.0, 1500.0, 200)


def gain_db(radiator: Radiator, hz: float = 1.0, distance_m: float = 1.0) -> float:
    ratio = far_over_near(radiator, frequency_hz=np.array([hz]), distance_m=distance_m, air=AIR)
    return float(20 * np.log10(np.abs(ratio[0])))


@pytest.mark.parametrize(("radius_m", "db"), [(0.05, 32.04120), (0.065, 29.76233), (0.1, 26.02060)])
def test_near_is_above_far_by_two_distances_over_the_radius(radius_m: float, db: float) -> None:
    # Half space. A whole space would be 6.02 dB more.
    radiator = Radiator(area_m2=math.pi * radius_m**2, gap_m=0.0)
    assert gain_db(radiator) == pytest.approx(-db, abs=1e-4)


@pytest.mark.parametrize(
    ("gap", "db"),
    [(0.02, -0.1737), (0.05, -0.4341), (0.1, -0.8671), (0.11, -0.9535), (0.2, -1.7258)],
)
def test_a_gap_costs_the_near_field_what_the_piston_says(gap: float, db: float) -> None:
    radiator = Radiator(area_m2=math.pi * 0.05**2, gap_m=gap * 0.05)
    assert gain_db(radiator) == pytest.approx(-32.04120 - db, abs=1e-4)


@pytest.mark.parametrize(
    ("ka", "db"), [(0.1, -0.0036), (0.3, -0.0326), (0.5, -0.0907), (1.0, -0.3650), (1.5, -0.8301)]
)
def test_what_the_near_field_lacks_towards_ka_1_is_put_back(ka: float, db: float) -> None:
    # 20 log10 of sin(ka/2) / (ka/2): the near field reads low.
    radiator = Radiator(area_m2=math.pi * 0.05**2, gap_m=0.0)
    assert gain_db(radiator, hz=ka * 343 / (2 * math.pi * 0.05)) == pytest.approx(
        -32.04120 - db, abs=2e-4
    )


def test_near_pressure_by_closed_form_is_rayleighs_integral() -> None:
    # a 0.1 m, k 20 /m, 0.3 m on the axis: |p| / (2 rho c u) = 0.16156636.
    hz = np.array([20 * 343 / (2 * math.pi)])
    speed = 1 / (math.pi * 0.1**2 * 2 * math.pi * hz[0])
    got = abs(on_axis(hz, radius_m=0.1, distance_m=0.3)[0]) / (2 * 1.2 * 343 * speed)
    assert got == pytest.approx(0.16156636, abs=1e-8)
    parts = [
        quad(lambda s, f=f: f(20 * np.hypot(0.3, s)) / np.hypot(0.3, s) * s, 0, 0.1)[0]
        for f in (np.cos, np.sin)
    ]
    assert 20 * math.hypot(*parts) / 2 == pytest.approx(0.16156636, abs=1e-8)


@pytest.mark.parametrize("gap_m", [0.0, 0.002, 0.01, 0.05])
def test_a_piston_heard_close_by_is_found_far_away_with_its_phase(gap_m: float) -> None:
    radiator = Radiator(area_m2=math.pi * 0.052**2, gap_m=gap_m)
    near = heard(HZ, on_axis(HZ, radius_m=0.052, distance_m=gap_m))
    far = scaled(near, radiator=radiator, distance_m=1.0, air=AIR)
    np.testing.assert_allclose(far.pressure, far_off(HZ), rtol=1e-9)
    assert far.valid.high_hz == pytest.approx(343 / (2 * math.pi * 0.052), rel=1e-12)
    assert far.valid.high_reason == "near field"


def test_ka_1_of_a_unit_of_50_mm_radius_lies_where_keele_says() -> None:
    # c 344 m/s: 1094.99 Hz.
    radiator = Radiator(area_m2=math.pi * 0.05**2, gap_m=0.0)
    assert radiator.valid(air=AIR).high_hz * 344 / 343 == pytest.approx(1094.99, abs=0.01)


@pytest.mark.parametrize("count", [1, 3])
def test_diaphragm_and_vents_of_a_box_add_to_what_all_of_it_radiates(count: int) -> None:
    # Near pressures of both from the circuit's flows by the piston's closed form; far away the
    # circuit's total flow, which is what the box's compliance swallows.
    vent = Vent(area_m2=20e-4 / count, count=count)
    box = VentedBox(volume_m3=25e-3, tuning_hz=40.0, vent=vent)
    moved = motion(UNIT, box=box, air=AIR, frequency_hz=HZ)
    s = 2j * np.pi * HZ
    cone_m, vent_m = UNIT.radius_m, math.sqrt(vent.area_m2 / math.pi)
    cone = s**2 * moved.displacement * UNIT.sd_m2 * on_axis(HZ, radius_m=cone_m, distance_m=0.004)
    assert moved.vent_flow is not None
    mouth = s * moved.vent_flow / count * on_axis(HZ, radius_m=vent_m, distance_m=0.0)
    parts = (
        scaled(heard(HZ, pressure), radiator=radiator, distance_m=1.0, air=AIR)
        for pressure, radiator in (
            (cone, Radiator(area_m2=UNIT.sd_m2, gap_m=0.004)),
            (mouth, Radiator(area_m2=vent.area_m2, gap_m=0.0, count=count)),
        )
    )
    whole = together(*parts)
    np.testing.assert_allclose(whole.pressure, s * moved.total_flow * far_off(HZ), rtol=1e-9)


def test_the_vents_share_of_the_near_field_is_the_root_of_the_areas() -> None:
    # Keele: the port's near field counts a_port / a_cone against the cone's.
    cone = gain_db(Radiator(area_m2=100e-4, gap_m=0.0))
    port = gain_db(Radiator(area_m2=25e-4, gap_m=0.0))
    assert port - cone == pytest.approx(20 * math.log10(0.5), abs=1e-6)
