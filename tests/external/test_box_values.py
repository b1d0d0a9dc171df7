"""Closed and vented boxes against published alignments, closed forms and theorems of the circuit.

Sources: R. H. Small, J. Audio Eng. Soc. 20 (1972) 383 and 798 (closed box), 21 (1973) 316 to 563
(vented box; the two impedance peaks, losses); A. N. Thiele, J. Audio Eng. Soc. 19 (1971) 382, table
I (a public transcription); Rayleigh and H. Levine, J. Schwinger, Phys. Rev. 73 (1948) 383 (ends of
pipes). Figures of the worked unit were computed apart from our code.
"""

import math
from dataclasses import replace

import numpy as np
import pytest
from scipy.optimize import minimize_scalar

from dsp import Floats
from dsp.box.closed_alignment import closed_for_qtc, closed_system
from dsp.box.corner import corner_hz, peak_db, relative_db
from dsp.box.drive import Drive, volts_for
from dsp.box.enclosure import ClosedBox, VentedBox
from dsp.box.figures import figures
from dsp.box.motion import motion
from dsp.box.predict import HALF_POWER_DB
from dsp.box.unit import BoxUnit, mechanics, passband_pa_per_v
from dsp.box.vent import END_RADII, Vent, cut_for, tuned_by
from dsp.box.vented_alignment import vented_alignment, vented_for
from tests.dsp.box.boxed import AIR, UNIT

HZ = np.geomspace(5.0, 2000.0, 400)


def db(value: Floats) -> Floats:
    return np.asarray(20 * np.log10(np.abs(value)))


# The unit itself


def test_parameters_turn_back_into_the_masses_and_springs_they_came_from() -> None:
    found = mechanics(UNIT, air=AIR)
    assert found.bl_tm == pytest.approx(6.5, rel=1e-8)
    assert found.mms_kg == pytest.approx(12.5e-3, rel=1e-8)
    assert found.cms_m_per_n == pytest.approx(1.0e-3, rel=1e-8)
    assert found.rms_kg_per_s == pytest.approx(1.1, rel=1e-8)
    assert UNIT.qts == pytest.approx(0.434251862, rel=1e-8)


@pytest.mark.parametrize(("volts", "level_db"), [(2.83, 89.869231), (math.sqrt(6), 88.615015)])
def test_the_flat_part_is_the_reference_efficiency(volts: float, level_db: float) -> None:
    # 88.615015 dB for 1 W into Re, 89.869231 dB for 2.83 V: 10 log10(eta0 rho c / (2 pi p0^2)).
    pascal = volts * passband_pa_per_v(UNIT, air=AIR)
    assert 20 * math.log10(pascal / 20e-6) == pytest.approx(level_db, abs=1e-6)


def test_watts_are_counted_in_the_resistance_that_is_named() -> None:
    assert volts_for(1.0, ohm=8.0) == pytest.approx(2.828427, abs=5e-7)


# Closed box


@pytest.mark.parametrize(
    ("litre", "fc_hz", "qtc"),
    [(5.0, 110.216365, 1.063219), (10.0, 84.184532, 0.812099), (24.973118, 63.661977, 0.614125)],
)
def test_a_closed_box_raises_resonance_and_quality_alike(
    litre: float, fc_hz: float, qtc: float
) -> None:
    found = closed_system(UNIT, box=ClosedBox(volume_m3=litre * 1e-3))
    assert found.fc_hz == pytest.approx(fc_hz, abs=1e-6)
    assert found.qtc == pytest.approx(qtc, abs=1e-6)


def test_the_circuit_with_a_closed_box_is_the_high_pass_of_second_order() -> None:
    box = ClosedBox(volume_m3=10e-3)
    x = HZ / 84.184532
    exact = -(x**2) / (1 - x**2 + 1j * x / 0.812099)
    got = relative_db(UNIT, box=box, air=AIR, frequency_hz=HZ)
    np.testing.assert_allclose(got, db(exact), rtol=0, atol=2e-5)


@pytest.mark.parametrize(
    ("qtc", "f3_over_fc", "peak"),
    [
        (0.5, 1.553774, 0.0),
        (0.57735, 1.272020, 0.0),
        (0.70711, 1.0, 0.0),
        (0.8, 0.897160, 0.2130),
        (1.0, 0.786151, 1.2494),
        (1.2, 0.735815, 2.4118),
        (1.5, 0.699345, 4.0334),
    ],
)
def test_corner_and_peak_of_a_closed_box_are_those_of_its_qtc(
    qtc: float, f3_over_fc: float, peak: float
) -> None:
    box = closed_for_qtc(UNIT, qtc=qtc)
    system = closed_system(UNIT, box=box)
    assert system.qtc == pytest.approx(qtc, rel=1e-9)
    f3_hz = corner_hz(UNIT, box=box, air=AIR, drop_db=HALF_POWER_DB)
    assert f3_hz / system.fc_hz == pytest.approx(f3_over_fc, rel=1e-5)
    assert peak_db(UNIT, box=box, air=AIR) == pytest.approx(peak, abs=1e-3)


def test_a_butterworth_of_second_order_is_10_db_down_at_0_577_of_its_corner() -> None:
    box = closed_for_qtc(UNIT, qtc=math.sqrt(0.5))
    fc_hz = closed_system(UNIT, box=box).fc_hz
    # |G|2 = x4 / (1 + x4) = 1/10: x = 1 / sqrt 3.
    f10_hz = corner_hz(UNIT, box=box, air=AIR, drop_db=10.0)
    assert f10_hz / fc_hz == pytest.approx(0.57735027, rel=1e-6)


def test_excursion_at_very_low_frequencies_is_force_over_stiffness() -> None:
    # Bl V / Re against both springs; a closed box holds 1 / (1 + alpha) of it.
    box = ClosedBox(volume_m3=10e-3)
    found = motion(UNIT, box=box, air=AIR, frequency_hz=np.array([0.01]))
    still = 6.5 / 6.0 * 1.0e-3 / (1 + 24.973117932 / 10)
    assert found.displacement[0].real == pytest.approx(still, rel=1e-5)


def test_a_source_resistance_acts_as_if_the_coil_had_it() -> None:
    box, drive = ClosedBox(volume_m3=10e-3), Drive(volts=1.0, source_ohm=2.0)
    behind = figures(UNIT, box=box, air=AIR, drive=drive, frequency_hz=HZ)
    # The same Bl and mass with 8 ohm: Qes grows with Re.
    higher = BoxUnit(
        fs_hz=UNIT.fs_hz,
        qms=UNIT.qms,
        qes=UNIT.qes * 8 / 6,
        vas_m3=UNIT.vas_m3,
        sd_m2=UNIT.sd_m2,
        re_ohm=8.0,
    )
    straight = figures(higher, box=box, air=AIR, drive=Drive(volts=1.0), frequency_hz=HZ)
    np.testing.assert_allclose(behind.pressure, straight.pressure, rtol=1e-9)
    assert UNIT.qts_with(2.0) == pytest.approx(higher.qts, rel=1e-12)
    corners = (
        corner_hz(UNIT, box=box, air=AIR, drop_db=HALF_POWER_DB, source_ohm=2.0),
        corner_hz(higher, box=box, air=AIR, drop_db=HALF_POWER_DB),
    )
    assert corners[0] == pytest.approx(corners[1], rel=1e-9)


def test_a_leaky_closed_box_lowers_the_peak_by_what_its_quality_factors_say() -> None:
    lossy = ClosedBox(volume_m3=10e-3, q_leakage=60.0, q_absorption=60.0)
    system = closed_system(UNIT, box=lossy)
    # 1 / Qtc = 1 / 0.812099 + alpha / (1 + alpha) (1/60 + 1/60), alpha = 2.4973.
    assert 1 / system.qtc == pytest.approx(1 / 0.812099 + 0.714066 / 30, rel=1e-5)
    at_fc = relative_db(UNIT, box=lossy, air=AIR, frequency_hz=np.array([system.fc_hz]))
    assert at_fc[0] == pytest.approx(20 * math.log10(system.qtc), abs=0.02)


# Vented box


@pytest.mark.parametrize(
    ("row", "f3", "tuning", "volume", "qt"),
    [
        (1, 2.68, 2.000, 0.0954, 0.180),
        (2, 2.28, 1.730, 0.1337, 0.209),
        (3, 1.77, 1.420, 0.2242, 0.259),
        (4, 1.45, 1.230, 0.3390, 0.303),
        (5, 1.000, 1.000, 0.7072, 0.383),
        (6, 0.867, 0.927, 0.9479, 0.415),
        (7, 0.729, 0.829, 1.372, 0.466),
        (8, 0.641, 0.757, 1.790, 0.518),
        (9, 0.600, 0.716, 2.062, 0.557),
    ],
)
def test_alignments_without_loss_are_those_of_thieles_table(
    row: int, f3: float, tuning: float, volume: float, qt: float
) -> None:
    # Qt has three digits: half of the last one moves the volume of row 1 by 0.7 %.
    found = vented_alignment(qt)
    assert found.family == ("QB3" if row < 5 else "C4")  # 0.383 is rounded up from B4's 0.38268
    assert found.f3_ratio == pytest.approx(f3, rel=5e-3)
    assert found.tuning_ratio == pytest.approx(tuning, rel=6e-3)
    assert 1 / found.alpha == pytest.approx(volume, rel=1.2e-2)


def test_b4_is_exact() -> None:
    found = vented_alignment(1 / math.sqrt(4 + 2 * math.sqrt(2)))
    assert found.family == "B4"
    assert found.alpha == pytest.approx(math.sqrt(2), rel=1e-9)
    assert found.tuning_ratio == pytest.approx(1.0, rel=1e-9)
    assert found.f3_ratio == pytest.approx(1.0, rel=1e-9)


@pytest.mark.parametrize(
    ("qt", "tuning", "volume", "f3", "ripple_db"),
    [
        (0.41479, 0.92820, 0.94812, 0.86707, 0.0026),
        (0.46497, 0.82878, 1.37201, 0.72816, 0.0679),
        (0.50531, 0.77019, 1.69778, 0.65823, 0.2145),
    ],
)
def test_chebyshev_alignments_are_exact(
    qt: float, tuning: float, volume: float, f3: float, ripple_db: float
) -> None:
    # Butterworth's poles with real parts times 0.8, 0.6, 0.5; ripple 10 log10(1 + eps^2).
    found = vented_alignment(qt)
    assert found.tuning_ratio == pytest.approx(tuning, rel=3e-5)
    assert 1 / found.alpha == pytest.approx(volume, rel=3e-5)
    assert found.f3_ratio == pytest.approx(f3, rel=3e-5)
    assert found.ripple_db == pytest.approx(ripple_db, abs=1e-4)


def test_quasi_butterworth_of_third_order_with_b_2_is_exact() -> None:
    found = vented_alignment(0.30780)
    assert found.tuning_ratio == pytest.approx(1.20727, rel=1e-4)
    assert 1 / found.alpha == pytest.approx(0.35459, rel=1e-4)
    assert found.f3_ratio == pytest.approx(1.41704, rel=1e-4)


@pytest.mark.parametrize("q_leakage", [math.inf, 15.0, 7.0, 5.0])
def test_the_circuit_of_a_b4_box_is_butterworths_high_pass_leaks_or_not(q_leakage: float) -> None:
    # The alignment comes from polynomials, the response from the circuit, the truth from neither:
    # |G|2 = x8 / (1 + x8).
    qts = 1 / (2.6131259297527530 - 1 / q_leakage)
    unit = BoxUnit(
        fs_hz=40.0, qms=5.0, qes=5 * qts / (5 - qts), vas_m3=50e-3, sd_m2=133e-4, re_ohm=6.0
    )
    box = vented_for(unit, q_leakage=q_leakage)
    assert box.tuning_hz == pytest.approx(40.0, rel=1e-9)
    x = HZ / 40.0
    exact_db = -10 * np.log10(1 + x**-8)
    got = relative_db(unit, box=box, air=AIR, frequency_hz=HZ)
    np.testing.assert_allclose(got, exact_db, rtol=0, atol=1e-6)
    assert corner_hz(unit, box=box, air=AIR, drop_db=HALF_POWER_DB) == pytest.approx(40, rel=1e-7)


def test_with_ql_7_b4_needs_the_qts_and_the_volume_that_small_gives() -> None:
    # Small 1973, from memory: QT 0.405, alpha 1.06.
    found = vented_alignment(1 / (2.6131259297527530 - 1 / 7), q_leakage=7.0)
    assert found.qts == pytest.approx(0.405, abs=5e-4)
    assert found.alpha == pytest.approx(1.06, abs=5e-3)


@pytest.mark.parametrize(("qts", "family"), [(0.30, "QB3"), (0.30, "SC4"), (0.45, "C4")])
def test_what_an_alignment_promises_the_circuit_keeps(qts: float, family: str) -> None:
    unit = BoxUnit(
        fs_hz=40.0, qms=5.0, qes=5 * qts / (5 - qts), vas_m3=50e-3, sd_m2=133e-4, re_ohm=6.0
    )
    low = "SC4" if family == "SC4" else "QB3"
    found = vented_alignment(qts, q_leakage=7.0, low_family=low)  # type: ignore[arg-type]  # of two
    box = vented_for(unit, q_leakage=7.0, low_family=low)  # type: ignore[arg-type]  # of two
    assert found.family == family
    f3_hz = corner_hz(unit, box=box, air=AIR, drop_db=HALF_POWER_DB)
    assert f3_hz / 40.0 == pytest.approx(found.f3_ratio, rel=1e-6)
    assert peak_db(unit, box=box, air=AIR) == pytest.approx(found.ripple_db, abs=1e-3)


def lossless(tuning_hz: float = 38.0) -> tuple[BoxUnit, VentedBox]:
    unit = BoxUnit(
        fs_hz=UNIT.fs_hz, qms=1e9, qes=UNIT.qes, vas_m3=UNIT.vas_m3, sd_m2=133e-4, re_ohm=6.0
    )
    return unit, VentedBox(volume_m3=20e-3, tuning_hz=tuning_hz)


def test_the_two_impedance_peaks_of_a_vented_box_tell_tuning_and_volume() -> None:
    # Small 1973: fL fH = fs fb, and alpha = (fH2 - fb2)(fb2 - fL2) / (fH2 fL2).
    unit, box = lossless()

    def admittance(log_hz: float) -> float:
        at = np.array([math.exp(log_hz)])
        return float(1 / np.abs(motion(unit, box=box, air=AIR, frequency_hz=at).impedance[0]))

    low, high = (
        math.exp(
            minimize_scalar(
                admittance,
                bounds=(math.log(a), math.log(b)),
                method="bounded",
                options={"xatol": 1e-12},
            ).x
        )
        for a, b in ((15.0, 37.9), (38.1, 150.0))
    )
    assert low * high == pytest.approx(unit.fs_hz * 38.0, rel=1e-5)
    alpha = (high**2 - 38.0**2) * (38.0**2 - low**2) / (high * low) ** 2
    assert alpha == pytest.approx(24.973117932 / 20, rel=1e-5)


def test_at_its_tuning_a_box_without_losses_holds_the_diaphragm_still() -> None:
    unit, box = lossless()
    hz = np.array([38.0 * (1 + 1e-9)])
    found = motion(unit, box=box, air=AIR, frequency_hz=hz)
    assert abs(found.impedance[0]) == pytest.approx(6.0, rel=1e-5)
    assert found.vent_flow is not None
    # All that is heard comes out of the vent.
    assert found.vent_flow[0] == pytest.approx(found.total_flow[0], rel=1e-5)


def test_at_its_tuning_the_vent_of_a_b4_box_moves_what_its_level_needs() -> None:
    unit = BoxUnit(
        fs_hz=40.0,
        qms=1e9,
        qes=1 / math.sqrt(4 + 2 * math.sqrt(2)),
        vas_m3=50e-3,
        sd_m2=133e-4,
        re_ohm=6.0,
    )
    box = vented_for(unit)
    found = motion(unit, box=box, air=AIR, frequency_hz=np.array([40.0]))
    # 3 dB below the flat part, whose volume acceleration is Sd Bl / (Re Mms).
    moving = mechanics(unit, air=AIR)
    flow = math.sqrt(0.5) * 133e-4 * moving.bl_tm / (6.0 * moving.mms_kg) / (2 * math.pi * 40)
    assert found.vent_flow is not None
    assert abs(found.vent_flow[0]) == pytest.approx(flow, rel=1e-6)


@pytest.mark.parametrize("loss", ["q_leakage", "q_absorption", "q_vent"])
def test_each_loss_of_a_vented_box_loads_its_unit_alike_at_the_tuning(loss: str) -> None:
    # Small 1973: at fb the box is a resistance QB times the reactance of its air, whichever way
    # it loses; 1 / QB is the sum of all three. To first order in 1 / QB.
    unit, tuned = lossless()
    box = replace(tuned, **{loss: 50.0})  # type: ignore[arg-type]  # by name
    moving = mechanics(unit, air=AIR)
    omega = 2 * math.pi * 38.0
    reactance = 1.2 * 343.0**2 / (omega * 20e-3)
    behind = (133e-4) ** 2 * 50.0 * reactance
    force = 1j * omega * moving.mms_kg + 1 / (1j * omega * moving.cms_m_per_n) + behind
    found = motion(unit, box=box, air=AIR, frequency_hz=np.array([38.0])).impedance[0]
    assert abs(found - 6) == pytest.approx(abs(moving.bl_tm**2 / force), rel=0.03)


def test_far_below_its_tuning_a_vented_box_falls_by_24_db_an_octave() -> None:
    _, box = lossless()
    got = relative_db(UNIT, box=box, air=AIR, frequency_hz=np.array([0.5, 1.0]))
    assert got[1] - got[0] == pytest.approx(24.082, abs=0.02)


# Vents


def test_ends_of_a_vent_add_what_rayleigh_and_levine_and_schwinger_found() -> None:
    assert END_RADII["flanged"] == pytest.approx(0.848826, abs=5e-7)
    assert END_RADII["free"] == 0.6133
    vent = Vent(area_m2=math.pi * 0.025**2, outside="flanged", inside="flanged")
    assert vent.ends_m == pytest.approx(2 * 0.848826 * 0.025, rel=1e-6)


def test_a_vents_length_is_that_of_a_helmholtz_resonator_less_its_ends() -> None:
    # f = c / (2 pi) sqrt(S / (V L)): 20 l, 40 Hz, 50 mm: L = 0.182899 m, ends 0.036553 m.
    vent = cut_for(Vent(area_m2=math.pi * 0.025**2), volume_m3=20e-3, tuning_hz=40.0, air=AIR)
    moving = math.pi * 0.025**2 / 20e-3 * (343 / (2 * math.pi * 40)) ** 2
    assert vent.length_m == pytest.approx(moving - (8 / (3 * math.pi) + 0.6133) * 0.025, rel=1e-12)
    assert tuned_by(vent, volume_m3=20e-3, air=AIR) == pytest.approx(40.0, rel=1e-12)


def test_two_vents_of_half_the_area_are_shorter_by_less_ends_than_one() -> None:
    one = cut_for(Vent(area_m2=40e-4), volume_m3=20e-3, tuning_hz=40.0, air=AIR)
    two = cut_for(Vent(area_m2=20e-4, count=2), volume_m3=20e-3, tuning_hz=40.0, air=AIR)
    assert one.length_m is not None
    assert two.length_m is not None
    ends = (8 / (3 * math.pi) + 0.6133) * (math.sqrt(40e-4 / math.pi) - math.sqrt(20e-4 / math.pi))
    assert two.length_m - one.length_m == pytest.approx(ends, rel=1e-9)
