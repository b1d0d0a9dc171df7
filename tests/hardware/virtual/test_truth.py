"""The rig's stated truth against the closed forms of a unit with known parameters.

Re 6.0 ohm, Bl 6.5 T m, Mms 12.5 g, Cms 1.0 mm/N, Rms 1.1 kg/s, Sd 133 cm2, no inductance,
density 1.2, speed 343: every figure from R. H. Small, J. Audio Eng. Soc. 20 (1972) 383, worked
out by hand.
"""

import math
from dataclasses import replace

import numpy as np
import pytest

from dsp.acoustic.air import Air
from hardware.virtual.radiation import radiation
from hardware.virtual.truth import small_signal, steady_state
from hardware.virtual.unit import T130, DriveUnit

AIR = Air(speed_m_per_s=343.0, density_kg_per_m3=1.2)
PLAIN = DriveUnit(
    name="plain",
    re_ohm=6.0,
    le_h=0.0,
    l2_h=0.0,
    r2_ohm=0.0,
    bl_tm=6.5,
    mms_kg=12.5e-3,
    rms_kg_per_s=1.1,
    cms_m_per_n=1e-3,
    sd_m2=133e-4,
)


@pytest.mark.parametrize(
    ("name", "value"),
    [
        ("fs_hz", 45.015815808),
        ("qms", 3.214121733),
        ("qes", 0.502087655),
        ("qts", 0.434251862),
        ("vas_l", 24.973117932),
        ("eta0", 0.004438804),
        ("sensitivity_db", 89.869231),
    ],
)
def test_parameters_are_those_of_the_formulas(name: str, value: float) -> None:
    assert getattr(small_signal(PLAIN, air=AIR), name) == pytest.approx(value, rel=1e-7)


def test_impedance_is_that_of_the_formula() -> None:
    hz = np.array([10.0, 20.0, 100.0, 200.0])
    expected = [6.201951 + 2.777765j, 7.106465 + 6.424488j]
    expected += [7.149573 - 6.544657j, 6.207864 - 2.817920j]
    found = small_signal(PLAIN, air=AIR).impedance(hz)
    np.testing.assert_allclose(found, expected, rtol=0, atol=1e-6)


def test_pressure_far_away_is_that_of_a_point_source() -> None:
    # Rayleigh: p = rho Sd / (2 pi r) x acceleration, later by r / c.
    hz, r = np.geomspace(20, 2000, 40), 20.0
    truth = small_signal(PLAIN, air=AIR)
    s = 2j * np.pi * hz
    velocity = 6.5 / (truth.impedance(hz) * (1.1 + s * 12.5e-3 + 1 / (s * 1e-3)))
    expected = 1.2 * 133e-4 / (2 * np.pi * r) * s * velocity * np.exp(-s * r / 343.0)
    found = truth.pressure_per_volt(hz, distance_m=r)
    # (a / 2 r)^2 is left of the near field, and of its delay (a^2 / 4 r) / c.
    np.testing.assert_allclose(found, expected, rtol=3e-3)


def test_near_the_cone_the_pressure_is_that_of_a_piston() -> None:
    # |p| = 2 rho c u |sin(k/2 (sqrt(z^2 + a^2) - z))|: a 0.1, k 20, z 0.3 gives 0.16156636
    # (Rayleigh integral); and p near / p far = 2 r / a, 32.04120 dB for a 0.05 and r 1 (Keele).
    wide = replace(PLAIN, sd_m2=math.pi * 0.1**2)
    hz = np.array([20 * 343.0 / (2 * np.pi)])
    per_velocity = radiation(wide, frequency_hz=hz, distance_m=0.3, air=AIR) * 2j * np.pi * hz
    assert np.abs(per_velocity)[0] / (2 * 1.2 * 343.0) == pytest.approx(0.16156636, rel=1e-7)
    small = replace(PLAIN, sd_m2=math.pi * 0.05**2)
    low = np.array([1.0])
    near, far = (
        np.abs(radiation(small, frequency_hz=low, distance_m=d, air=AIR))[0] for d in (1e-9, 100.0)
    )
    assert 20 * math.log10(near / (100 * far)) == pytest.approx(32.04120, abs=1e-4)


def test_steady_state_of_a_straight_unit_is_the_closed_form_and_nothing_else() -> None:
    truth, hz = small_signal(PLAIN, air=AIR), np.array([70.0])
    found = steady_state(PLAIN, frequency_hz=70.0, source_v_rms=2.0, orders=5, air=AIR)
    assert found.current_a[0] == pytest.approx(2 / truth.impedance(hz)[0], rel=1e-7)
    assert found.pressure_pa[0] == pytest.approx(2 * truth.pressure_per_volt(hz)[0], rel=1e-7)
    assert np.max(np.abs(found.pressure_pa[1:])) < 1e-9 * np.abs(found.pressure_pa[0])
    assert found.drift < 1e-9


def test_the_shipped_unit_is_what_its_maker_says() -> None:
    truth = small_signal(T130, air=AIR)
    assert truth.fs_hz == pytest.approx(75.0)
    # Rated 8 ohm: IEC 60268-5 asks for no less than 0.8 of it in the rated range.
    assert np.min(np.abs(truth.impedance(np.geomspace(20, 20_000, 500)))) >= 6.4
