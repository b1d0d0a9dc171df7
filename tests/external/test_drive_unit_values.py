"""A drive unit worked through by hand: impedance, sensitivity and efficiency.

Sources: R. H. Small, J. Audio Eng. Soc. 20 (1972) 383 (circuit, efficiency) and 21 (1973) 11
(closed-box unit, its figures from memory); IEC 60268-5 (characteristic sensitivity). Ohm's law for
the sense resistor. All other figures follow from these by closed forms computed independently.
The unit: Re 6.0 ohm, Bl 6.5 T m, Mms 12.5 g, Cms 1.0 mm/N, Rms 1.1 kg/s, Sd 133 cm2, Le 0; air of
1.2 kg/m3 and 343 m/s.
"""

import math
from dataclasses import dataclass

import numpy as np
import pytest

from app.measure.answers import Answers, plan
from app.measure.terminals import at_terminals
from dsp import Complexes, Curve, Floats, ValidRange
from dsp.acoustic.level import level
from dsp.acoustic.sensitivity import reference_voltage, sensitivity
from dsp.electrical.impedance import Impedance, impedance, impedance_from_source, magnitude, phase
from dsp.electrical.unit_voltage import known_source, unit_voltage
from dsp.response.harmonics import Harmonics
from dsp.response.quiet_noise import quiet_noise
from dsp.response.sweep_answer import sweep_answer
from hardware.chain.schema import Chain
from tests.dsp.analytic_unit import AnalyticUnit, phasors
from tests.dsp.response.played import answer, one_sweep

UNIT = AnalyticUnit(
    re_ohm=6.0,
    le_h=0.0,
    pairs=(),
    bl_tm=6.5,
    mms_kg=12.5e-3,
    cms_m_per_n=1.0e-3,
    rms_kg_per_s=1.1,
    sd_m2=133e-4,
    rho=1.2,
    c=343.0,
)
# ohm, computed apart from any code of ours
OHM = {
    10.0: 6.201951 + 2.777765j,
    20.0: 7.106465 + 6.424488j,
    100.0: 7.149573 - 6.544657j,
    200.0: 6.207864 - 2.817920j,
}
FS_HZ, PEAK_OHM = 45.015815808, 44.409090909
EVERYWHERE = ValidRange(low_hz=1.0, high_hz=24_000.0)


def at(hz: float, amplitude: complex) -> Harmonics:
    return phasors(np.array([hz]), np.array([amplitude]))


# Ohm's law at the sense resistor, in both places where the voltage may be taken


def test_the_same_two_voltages_mean_two_impedances_exactly_one_resistor_apart() -> None:
    # 2.83 V, 0.1 ohm, 11.4286 mV across it: Z = Rs V / Vs with the voltage across the unit,
    # Rs (V / Vs - 1) with the voltage across unit and resistor.
    current = at(1000.0, 11.4286e-3 / 0.1)
    unit = impedance(at(1000.0, 2.83), current=current).value[0]
    assert unit == pytest.approx(24.762438, abs=5e-7)
    source = known_source(frequency_hz=np.array([1000.0]), source_v_rms=2.83, orders=1)
    whole = impedance_from_source(source, current=current, resistor_ohm=0.1).value[0]
    assert whole == pytest.approx(24.662438, abs=5e-7)
    assert unit - whole == pytest.approx(0.1, rel=1e-9)
    across = unit_voltage(source, current=current, resistor_ohm=0.1)
    assert impedance(across, current=current).value[0] == pytest.approx(whole, rel=1e-12)


def test_the_drop_across_a_tenth_of_an_ohm_costs_6_ohm_0_14_db_of_voltage() -> None:
    source = known_source(frequency_hz=np.array([1000.0]), source_v_rms=2.83, orders=1)
    across = unit_voltage(source, current=at(1000.0, 2.83 / 6.1), resistor_ohm=0.1)
    loss_db = 20 * np.log10(np.abs(across.fundamental[0]) / 2.83)
    assert loss_db == pytest.approx(-0.14357, abs=5e-6)


def test_the_chain_s_wiring_decides_which_of_the_two_is_meant() -> None:
    inputs = {"sense": {"channel": 1, "full_scale_v": 1.0, "resistor_ohm": 0.1}}
    drive = {"channel": 1, "full_scale_v": 1.0, "amplifier_gain": 10.0, "max_terminal_v_rms": 4.0}
    asked = plan(one_sweep(), indices=[0], orders=1, per_octave=1, gate_s=None)
    current = at(1000.0, 11.4286e-3 / 0.1)

    def ohm(wire: str, volt: float) -> float:
        chain = Chain.model_validate(
            {
                "name": "bench",
                "output": {"drive": drive},
                "input": {**inputs, wire: {"channel": 2, "full_scale_v": 1.0}},
            }
        )
        heard = at(1000.0, volt)
        found = at_terminals(
            Answers(
                pressure=None,
                current=current,
                terminal=heard if wire == "terminal" else None,
                loopback=heard if wire == "loopback" else None,
                impulse=None,
            ),
            chain=chain,
            plan=asked,
        )
        assert found.impedance is not None
        return float(np.abs(found.impedance.value[0]))

    assert ohm("terminal", 2.83) == pytest.approx(24.762438, abs=5e-7)
    # The jack before the amplifier of ten; the resistor is within what it drives.
    assert ohm("loopback", 0.283) == pytest.approx(24.662438, abs=5e-7)


@pytest.mark.parametrize("hz", sorted(OHM))
@pytest.mark.parametrize("place", ["terminal", "source"])
def test_the_worked_unit_s_impedance_comes_out_of_a_voltage_and_a_current(
    hz: float, place: str
) -> None:
    resistor, turn = 0.22, np.exp(0.7j)
    current = at(hz, turn * 1.0)
    found: Impedance
    if place == "terminal":
        found = impedance(at(hz, turn * OHM[hz]), current=current)
    else:
        source = at(hz, turn * (OHM[hz] + resistor))
        found = impedance_from_source(source, current=current, resistor_ohm=resistor)
    size = magnitude(found, valid=EVERYWHERE).value[0]
    angle = phase(found, valid=EVERYWHERE).value[0]
    assert size == pytest.approx(abs(OHM[hz]), rel=1e-9)
    assert angle == pytest.approx(np.degrees(np.angle(OHM[hz])), rel=1e-9)
    if hz == 20.0:
        assert (size, angle) == pytest.approx((9.579973, 42.1147), abs=1e-4)


# From a sweep as recorded to the same figures


@dataclass(frozen=True, kw_only=True)
class Behind:
    """The unit behind a sense resistor: A for 1 V of the amplifier."""

    resistor_ohm: float

    def __call__(self, f: Floats) -> Complexes:
        return np.asarray(1 / (UNIT.impedance(np.maximum(f, 1e-9)) + self.resistor_ohm))


def swept_current(hz: Floats, *, resistor_ohm: float) -> Harmonics:
    played = one_sweep(duration_s=2.0, start_hz=5.0)
    heard = answer(played, Behind(resistor_ohm=resistor_ohm))
    return sweep_answer(
        heard,
        excitation=played,
        segment_index=0,
        orders=1,
        frequency_hz=hz,
        noise=quiet_noise(heard, excitation=played),
    ).harmonics


def test_a_sweep_finds_the_worked_unit_s_impedance_within_a_tenth_of_a_percent() -> None:
    hz = np.array([10.0, 20.0, 100.0, 200.0])
    current = swept_current(hz, resistor_ohm=0.22)
    source = known_source(frequency_hz=hz, source_v_rms=4 / np.sqrt(2), orders=1)
    found = impedance_from_source(source, current=current, resistor_ohm=0.22).value
    wanted = np.array([OHM[float(f)] for f in hz])
    np.testing.assert_allclose(np.abs(found / wanted), 1, rtol=1e-3)
    np.testing.assert_allclose(np.degrees(np.angle(found / wanted)), 0, atol=0.1)
    # Forgetting the resistor is 2 to 3 %: far outside.
    assert np.all(np.abs(np.abs((found + 0.22) / wanted) - 1) > 0.01)


def test_a_sweep_finds_resonance_and_its_peak_where_small_s_formulas_put_them() -> None:
    # fs = 1 / (2 pi sqrt(Mms Cms)), |Z| there Re + Bl^2 / Rms
    hz = np.geomspace(FS_HZ / 1.05, FS_HZ * 1.05, 201)
    current = swept_current(hz, resistor_ohm=0.22)
    source = known_source(frequency_hz=hz, source_v_rms=4 / np.sqrt(2), orders=1)
    found = impedance_from_source(source, current=current, resistor_ohm=0.22).value
    crossing = int(np.flatnonzero((found.imag[:-1] > 0) & (found.imag[1:] <= 0))[0])
    share = found.imag[crossing] / (found.imag[crossing] - found.imag[crossing + 1])
    fs_hz = hz[crossing] + share * (hz[crossing + 1] - hz[crossing])
    assert fs_hz == pytest.approx(FS_HZ, rel=1e-4)
    assert np.abs(found).max() == pytest.approx(PEAK_OHM, rel=1e-3)


# Sensitivity, by two routes that share no formula


def reference_pressure(volt: float) -> float:
    """Pa at 1 m in half space, well above resonance: rho Bl U Sd / (2 pi r Re Mms)."""
    return 1.2 * 6.5 * volt * 133e-4 / (2 * math.pi * 6.0 * 12.5e-3)


def flat_level(pressure_pa: float, *, volt: float) -> Curve:
    hz = np.array([200.0, 1000.0, 5000.0])
    return level(
        phasors(hz, np.full(3, pressure_pa + 0j)),
        voltage=phasors(hz, np.full(3, volt + 0j)),
        reference_v=2.83,
        distance_m=1.0,
        reference_distance_m=1.0,
        valid=EVERYWHERE,
    )


def test_the_worked_unit_gives_89_87_db_for_2_83_v_and_88_62_db_for_1_w_into_re() -> None:
    curve = flat_level(reference_pressure(0.5), volt=0.5)
    for_volts = sensitivity(curve, level_v=2.83, level_distance_m=1.0, at_hz=[1000.0]).value
    watt_v = reference_voltage("1W", nominal_ohm=6.0)
    for_watt = sensitivity(
        curve, level_v=2.83, level_distance_m=1.0, reference_v=watt_v, at_hz=[1000.0]
    ).value
    assert for_volts == pytest.approx(89.869231, abs=5e-7)
    assert for_watt == pytest.approx(88.615015, abs=5e-7)
    # The other route: efficiency (4 pi^2 / c^3) fs^3 Vas / Qes, radiated into half space.
    fs, qes, vas = FS_HZ, 0.502087655, 24.973117932e-3
    eta0 = 4 * math.pi**2 / 343.0**3 * fs**3 * vas / qes
    assert eta0 == pytest.approx(0.004438804, abs=5e-10)
    by_efficiency = 10 * math.log10(eta0 * 1.2 * 343.0 / (2 * math.pi * (20e-6) ** 2))
    assert for_watt == pytest.approx(by_efficiency, abs=1e-7)
    # Into full space it would be 6.02 dB lower, by the book's 112.0 dB it would be 0.14 dB off.
    assert abs(for_watt - (by_efficiency - 6.0206)) > 6
    assert abs(for_watt - (112.0 + 10 * math.log10(eta0))) > 0.1


def test_a_swept_level_curve_of_the_worked_unit_ends_at_its_sensitivity() -> None:
    # Second-order high-pass at fs with Qts: at 1 kHz and above within 0.01 dB of the plateau.
    played = one_sweep(duration_s=2.0)
    heard = answer(played, lambda f: UNIT.pressure_per_volt(np.maximum(f, 1e-6)))
    hz = np.array([20.0, FS_HZ, 100.0, 1000.0, 4000.0])
    pressure = sweep_answer(
        heard,
        excitation=played,
        segment_index=0,
        orders=1,
        frequency_hz=hz,
        noise=quiet_noise(heard, excitation=played),
    ).harmonics
    curve = level(
        pressure,
        voltage=known_source(frequency_hz=hz, source_v_rms=4 / np.sqrt(2), orders=1),
        reference_v=2.83,
        distance_m=1.0,
        reference_distance_m=1.0,
        valid=EVERYWHERE,
    )
    x, qts = hz / FS_HZ, 0.434251862
    shape_db = 20 * np.log10(x**2 / np.hypot(1 - x**2, x / qts))
    np.testing.assert_allclose(curve.value, 89.869231 + shape_db, rtol=0, atol=0.01)
    assert curve.value[1] - curve.value[-1] == pytest.approx(20 * np.log10(qts), abs=0.01)


@pytest.mark.parametrize(
    ("ohm", "more_db"), [(4.0, 3.0151), (6.0, 1.2542), (8.0, 0.0048), (16.0, -3.0055)]
)
def test_2_83_v_and_1_w_differ_by_what_the_nominal_impedance_says(
    ohm: float, more_db: float
) -> None:
    curve = flat_level(1.0, volt=2.83)
    for_volts = sensitivity(curve, level_v=2.83, level_distance_m=1.0, at_hz=[1000.0]).value
    for_watt = sensitivity(
        curve,
        level_v=2.83,
        level_distance_m=1.0,
        reference_v=reference_voltage("1W", nominal_ohm=ohm),
        at_hz=[1000.0],
    ).value
    assert for_volts - for_watt == pytest.approx(more_db, abs=5e-5)


def test_one_watt_into_8_ohm_is_the_root_of_8_volts_and_not_2_83() -> None:
    assert reference_voltage("1W", nominal_ohm=8.0) == pytest.approx(2.828427, abs=5e-7)
    stated_v = reference_voltage("2.83V", nominal_ohm=8.0)
    assert stated_v**2 / 8 == pytest.approx(1.001113, abs=5e-7)
