"""A unit whose mechanics are known is put through every way of finding them."""

import math

import numpy as np
import pytest
from scipy.optimize import brentq

from dsp import DspError, Floats
from dsp.acoustic.air import Air
from dsp.parameters.circuit import Circuit, evaluate
from dsp.parameters.estimates import Estimates
from dsp.parameters.fit import LumpedFit, fit_lumped
from dsp.parameters.methods import added_mass, closed_box, known_mass
from dsp.parameters.one_take import PressurePerCurrent, one_take
from dsp.parameters.surroundings import (
    Known,
    KnownAir,
    Mounting,
    Surroundings,
    known_air,
    piston_area,
)
from tests.dsp.parameters.simulated import HZ, measured

# R. H. Small, J. Audio Eng. Soc. 20 (1972) 383, worked with these values by the formulas there.
RE, BL, MMS, CMS, RMS, SD = 6.0, 6.5, 12.5e-3, 1.0e-3, 1.1, 133e-4
AIR = Air(speed_m_per_s=343.0, density_kg_per_m3=1.2)
EXACT = KnownAir(air=AIR, covariance=np.zeros((2, 2)))
AROUND = Surroundings(air=EXACT, sd_m2=Known(value=SD))
TRUTH = {
    "re_ohm": 6.0,
    "fs_hz": 45.015815808,
    "qms": 3.214121733,
    "qes": 0.502087655,
    "qts": 0.434251862,
    "res_ohm": 38.409090909,
    "mms_g": 12.5,
    "cms_mm_per_n": 1.0,
    "rms_kg_per_s": 1.1,
    "bl_tm": 6.5,
    "vas_l": 24.973117932,
    "eta0_percent": 0.4438804,
    "reference_1w_db": 88.615015,
    "reference_2v83_db": 89.869231,
}
PLAIN = Circuit(inductance="none")


def take(
    *, mass: float = 0.0, box_l: float | None = None, noise: float = 0.0, seed: int = 0
) -> LumpedFit:
    """Fit the unit with a mass on its cone, or in a closed box."""
    stiff = 1 / CMS
    if box_l is not None:
        stiff += AIR.density_kg_per_m3 * AIR.speed_m_per_s**2 * SD**2 / (box_l * 1e-3)
    moving = MMS + mass
    ws = math.sqrt(stiff / moving)
    vector = PLAIN.vector(
        {
            "re_ohm": RE,
            "fs_hz": ws / (2 * math.pi),
            "qms": ws * moving / RMS,
            "res_ohm": BL**2 / RMS,
        }
    )
    return fit_lumped(measured(PLAIN, vector=vector, noise=noise, seed=seed), most_bumps=0)


def relatives(found: Estimates) -> dict[str, float]:
    return {n: (found.number(n).uncertainty or 0) / 2 / found.number(n).value for n in TRUTH}


def holds_truth(found: Estimates, *, rel: float = 2e-6) -> None:
    for name, value in TRUTH.items():
        assert found.number(name).value == pytest.approx(value, rel=rel), name


@pytest.mark.parametrize("mass_g", [5.0, 12.5, 25.0])
def test_added_mass_gives_the_worked_example_back(mass_g: float) -> None:
    found = added_mass(
        take(),
        loaded=take(mass=mass_g * 1e-3),
        mass_kg=Known(value=mass_g * 1e-3),
        surroundings=AROUND,
    )
    holds_truth(found)


@pytest.mark.parametrize("box_l", [5.0, 10.0, 24.973117932])
def test_a_closed_box_gives_the_worked_example_back(box_l: float) -> None:
    found = closed_box(
        take(), boxed=take(box_l=box_l), volume_m3=Known(value=box_l * 1e-3), surroundings=AROUND
    )
    holds_truth(found)


def test_resonances_in_the_box_are_those_of_the_book() -> None:
    # fc = fs sqrt(1 + Vas/V), Qtc likewise (Small 1972).
    for box_l, fc, qtc in ((5.0, 110.216365, 1.063219), (10.0, 84.184532, 0.812099)):
        fit = take(box_l=box_l)
        assert fit.value("fs_hz") == pytest.approx(fc, rel=1e-6)
        q = fit.value("qms") * RE / (RE + fit.value("res_ohm"))
        assert q == pytest.approx(qtc, rel=1e-6)


def test_a_known_mass_gives_the_worked_example_back() -> None:
    holds_truth(known_mass(take(), mms_kg=Known(value=MMS), surroundings=AROUND))


@pytest.mark.parametrize("gap_m", [None, 0.004])
def test_one_take_gives_the_worked_example_back(gap_m: float | None) -> None:
    # Pressure of the unit from its mechanics: half space, or on the axis of a small piston.
    s = 2j * np.pi * HZ
    acceleration = s * BL / (RMS + s * MMS + 1 / (s * CMS))  # for each ampere
    radius = math.sqrt(SD / math.pi)
    if gap_m is None:
        per = AIR.density_kg_per_m3 * SD / (2 * math.pi * 0.5)
        distance = Known(value=0.5)
    else:
        per = AIR.density_kg_per_m3 * (math.hypot(radius, gap_m) - gap_m)
        distance = Known(value=gap_m)
    sound = PressurePerCurrent(
        frequency_hz=HZ,
        pa_per_a=acceleration * per,
        relative_noise=np.zeros(HZ.size),
        relative_chain=0.0,
        distance_m=distance,
        place="half space" if gap_m is None else "near field",
    )
    holds_truth(one_take(take(), heard=sound, surroundings=AROUND))


@pytest.mark.parametrize(("mass_g", "times"), [(5.0, 7.0), (12.5, 4.0), (25.0, 3.0)])
def test_an_error_of_the_resonance_counts_as_often_as_the_formula_says(
    mass_g: float, times: float
) -> None:
    # d ln Mms / d ln fs' = 2 / (1 - (fs'/fs)^2): 7.0, 4.0, 3.0 % for 1 %.
    found = added_mass(
        take(),
        loaded=take(mass=mass_g * 1e-3),
        mass_kg=Known(value=mass_g * 1e-3),
        surroundings=AROUND,
    )
    moved = found.inputs.mean.copy()
    moved[len(PLAIN.names) + 1] += 1e-6  # ln fs of the second take
    at = found.names.index("mms_g")
    relative = found.rule(moved)[at] / found.value[at] - 1
    assert relative / 1e-6 == pytest.approx(times, rel=1e-3)


def test_what_is_uncertain_arrives_where_it_should() -> None:
    # Mass 1 % wrong: Mms 1 %, Bl 0.5 %, Cms 1 %. Area 1 %: Vas and eta0 2 %, the rest not.
    sure = take()
    loaded = take(mass=8e-3)
    found = added_mass(
        sure, loaded=loaded, mass_kg=Known(value=8e-3, standard=8e-5), surroundings=AROUND
    )
    relative = relatives(found)
    assert relative["mms_g"] == pytest.approx(0.01, rel=1e-2)
    assert relative["bl_tm"] == pytest.approx(0.005, rel=1e-2)
    assert relative["cms_mm_per_n"] == pytest.approx(0.01, rel=1e-2)
    area = Surroundings(
        air=EXACT,
        sd_m2=Known(value=SD, standard=SD * 0.01),
    )
    found = added_mass(sure, loaded=loaded, mass_kg=Known(value=8e-3), surroundings=area)
    relative = relatives(found)
    assert relative["vas_l"] == pytest.approx(0.02, rel=1e-2)
    assert relative["eta0_percent"] == pytest.approx(0.02, rel=1e-2)
    assert relative["mms_g"] < 1e-4
    boxed = take(box_l=6.0)
    found = closed_box(sure, boxed=boxed, volume_m3=Known(value=6e-3), surroundings=area)
    relative = relatives(found)
    assert relative["cms_mm_per_n"] == pytest.approx(0.02, rel=1e-2)
    assert relative["vas_l"] < 1e-4  # the volume alone tells it


def test_intervals_of_absolute_figures_hold_and_methods_agree() -> None:
    held = dict.fromkeys(("mms_g", "bl_tm", "cms_mm_per_n", "vas_l"), 0)
    agree, units = 0, 40
    for n in range(units):
        alone = take(noise=3e-3, seed=3 * n)
        by_mass = added_mass(
            alone,
            loaded=take(mass=8e-3, noise=3e-3, seed=3 * n + 1),
            mass_kg=Known(value=8e-3),
            surroundings=AROUND,
        )
        by_box = closed_box(
            alone,
            boxed=take(box_l=8.0, noise=3e-3, seed=3 * n + 2),
            volume_m3=Known(value=8e-3),
            surroundings=AROUND,
        )
        for name in held:
            number = by_mass.number(name)
            held[name] += abs(number.value - TRUTH[name]) <= (number.uncertainty or 0)
        one, other = by_mass.number("vas_l"), by_box.number("vas_l")
        both = math.hypot(one.uncertainty or 0, other.uncertainty or 0)
        agree += abs(one.value - other.value) <= both
    # 95 % of 40, three standard errors below.
    assert min(held.values()) >= 34
    assert agree >= 34


def test_draws_agree_with_the_slopes_and_show_what_is_not_symmetric() -> None:
    found = added_mass(
        take(noise=2e-3, seed=1),
        loaded=take(mass=8e-3, noise=2e-3, seed=2),
        mass_kg=Known(value=8e-3, standard=4e-4),
        surroundings=AROUND,
    )
    spread = found.simulate(draws=20_000, chance=np.random.default_rng(3))
    for name in ("bl_tm", "mms_g", "qts"):
        at = found.names.index(name)
        width = 1.96 * found.standard[at]
        assert spread.high[at] - spread.low[at] == pytest.approx(2 * width, rel=0.05)
        assert spread.median[at] == pytest.approx(found.value[at], abs=0.05 * width)
    at = found.names.index("mms_g")
    assert spread.high[at] - spread.median[at] > spread.median[at] - spread.low[at]
    with pytest.raises(DspError, match="too few draws: given 10, allowed from 100"):
        found.simulate(draws=10, chance=np.random.default_rng(3))


def test_correlations_are_told() -> None:
    found = known_mass(
        take(noise=1e-3), mms_kg=Known(value=MMS, standard=1e-4), surroundings=AROUND
    )
    table = found.correlation
    mms, cms = found.names.index("mms_g"), found.names.index("cms_mm_per_n")
    assert table[mms, cms] == pytest.approx(-1, abs=1e-2)  # fs is known: Cms = 1 / (ws^2 Mms)
    np.testing.assert_allclose(table, table.T)
    np.testing.assert_array_equal(np.diag(table), 1.0)


def test_what_cannot_be_is_refused_and_what_is_poor_is_marked() -> None:
    alone = take()
    with pytest.raises(DspError, match="added_mass: the resonance did not fall"):
        added_mass(alone, loaded=alone, mass_kg=Known(value=1e-3), surroundings=AROUND)
    with pytest.raises(DspError, match="closed_box: the resonance did not rise"):
        closed_box(alone, boxed=take(mass=1e-3), volume_m3=Known(value=1e-2), surroundings=AROUND)
    bare = Surroundings(air=EXACT)
    with pytest.raises(DspError, match="closed_box: the area is not known"):
        closed_box(alone, boxed=take(box_l=5), volume_m3=Known(value=5e-3), surroundings=bare)
    light = added_mass(alone, loaded=take(mass=5e-4), mass_kg=Known(value=5e-4), surroundings=bare)
    assert "a heavier one tells more" in light.number("mms_g").reason
    assert light.number("qts").trusted
    assert "vas_l" not in light.names
    with pytest.raises(DspError, match="no such figure: given vas_l"):
        light.number("vas_l")
    large = closed_box(
        alone, boxed=take(box_l=200), volume_m3=Known(value=0.2), surroundings=AROUND
    )
    assert "a smaller one tells more" in large.number("bl_tm").reason


CREEPING = Circuit(inductance="none", creep=True)
CREEP = 0.12


def creeping(fs_hz: float) -> Floats:
    values = {"re_ohm": RE, "fs_hz": fs_hz, "qms": 3.2, "res_ohm": BL**2 / RMS, "creep": CREEP}
    return CREEPING.vector(values)


def test_creep_is_followed_down_to_the_loaded_resonance() -> None:
    # The loaded unit rests where mass meets the stiffness of the log law at that frequency.
    fs, mass = 45.0, 10e-3

    def excess(hz: float) -> float:
        b = math.pi / 2 / math.log(10)
        law = (1 + (CREEP * b) ** 2) / (1 - CREEP * np.log10(1j * hz / fs))
        return float(law.real - (hz / fs) ** 2 * (MMS + mass) / MMS)

    loaded_hz = brentq(excess, 20.0, fs, xtol=1e-12)
    alone, loaded = (
        fit_lumped(measured(CREEPING, vector=creeping(hz)), most_bumps=0) for hz in (fs, loaded_hz)
    )
    found = added_mass(alone, loaded=loaded, mass_kg=Known(value=mass), surroundings=AROUND)
    assert found.number("mms_g").value == pytest.approx(12.5, rel=1e-5)


def test_one_take_of_a_creeping_suspension_and_its_noise() -> None:
    vector, s = creeping(45.0), 2j * np.pi * HZ
    motional = evaluate(CREEPING, vector=vector, frequency_hz=HZ).impedance - RE
    per = AIR.density_kg_per_m3 * SD / (2 * math.pi)
    band = (70.0, 250.0)
    points = np.count_nonzero((band[0] <= HZ) & (band[1] >= HZ))
    sound = PressurePerCurrent(
        frequency_hz=HZ,
        pa_per_a=s * motional / BL * per,
        relative_noise=np.full(HZ.size, 0.05),
        relative_chain=0.0,
        distance_m=Known(value=1.0),
    )
    alone = fit_lumped(measured(CREEPING, vector=vector), most_bumps=0)
    number = one_take(alone, heard=sound, surroundings=AROUND, band_hz=band).number("bl_tm")
    assert number.value == pytest.approx(BL, rel=1e-5)
    assert (number.uncertainty or 0) / 2 / BL == pytest.approx(0.05 / points**0.5, rel=1e-3)


def test_a_room_in_the_pressure_is_told() -> None:
    s = 2j * np.pi * HZ
    pressure = s * BL / (RMS + s * MMS + 1 / (s * CMS)) * 0.005 * (1 + 0.6 * np.exp(-s * 0.006))
    sound = PressurePerCurrent(
        frequency_hz=HZ,
        pa_per_a=pressure,
        relative_noise=np.zeros(HZ.size),
        relative_chain=0.0,
        distance_m=Known(value=0.5),
    )
    found = one_take(take(), heard=sound, surroundings=AROUND)
    assert "scatters by" in found.number("bl_tm").reason
    with pytest.raises(DspError, match="too few points of pressure"):
        one_take(take(), heard=sound, surroundings=AROUND, band_hz=(100.0, 105.0))


def test_air_and_area() -> None:
    # Ideal gas: density falls by 1 part in 293 for a kelvin, and is proportional to the pressure.
    known = known_air(
        temperature_c=20,
        pressure_kpa=101.325,
        humidity_percent=0,
        temperature_standard_c=1,
        pressure_standard_kpa=0,
        humidity_standard_percent=0,
    )
    assert math.sqrt(known.covariance[0, 0]) == pytest.approx(1 / 293, rel=0.05)
    assert math.sqrt(known.covariance[1, 1]) == pytest.approx(0.5 / 293, rel=0.05)
    assert known.covariance[0, 1] < 0
    area = piston_area(cone_diameter_m=0.096, surround_outer_diameter_m=0.112, standard_m=0.5e-3)
    assert area.value == pytest.approx(math.pi * 0.052**2)
    assert area.relative == pytest.approx(2 * 0.5 / 104)
    with pytest.raises(DspError, match="piston_area: diameters"):
        piston_area(cone_diameter_m=0.1, surround_outer_diameter_m=0.09, standard_m=0)
    with pytest.raises(DspError, match="Known: not positive"):
        Known(value=0.0)


def test_air_moves_along() -> None:
    # Both sides of a piston in a baffle: 16/3 rho a^3 (Beranek, Acoustics, ch. 5); free: half.
    load_g = 16 / 3 * 1.2 * (SD / math.pi) ** 1.5 * 1e3
    cases: tuple[tuple[Mounting, float], ...] = (("baffle", 1.0), ("free", 0.5))
    for mounting, part in cases:
        place = Surroundings(
            air=EXACT,
            sd_m2=Known(value=SD),
            mounting=mounting,
        )
        found = known_mass(take(), mms_kg=Known(value=MMS), surroundings=place)
        assert found.number("mmd_g").value == pytest.approx(12.5 - part * load_g)
