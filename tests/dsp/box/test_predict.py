import math
from dataclasses import replace

import numpy as np
import pytest

from dsp import DspError, Floats
from dsp.box.closed_alignment import closed_for_qtc
from dsp.box.corner import corner_hz
from dsp.box.drive import Drive
from dsp.box.enclosure import Box, ClosedBox, VentedBox, with_vent
from dsp.box.figures import figures
from dsp.box.limits import model_limits
from dsp.box.loudest import EXCURSION, POWER, VENT, loudest
from dsp.box.predict import HALF_POWER_DB, Prediction, predict
from dsp.box.spread import ParameterCovariance
from dsp.box.unit import UNCERTAIN
from dsp.box.vent import Vent, cut_for
from dsp.box.vented_alignment import vented_alignment
from tests.dsp.box.boxed import AIR, UNIT

HZ = np.geomspace(20.0, 2000.0, 60)
CLOSED = ClosedBox(volume_m3=10e-3)
VENTED = with_vent(volume_m3=25e-3, vent=Vent(area_m2=20e-4, length_m=0.12), air=AIR, q_leakage=7.0)
# Relative standard uncertainties of a fit; fs, Qms and Qes hang together.
SPREAD = np.array([0.004, 0.02, 0.015, 0.03, 0.01, 0.005])
CORRELATION = np.eye(6)
CORRELATION[0, 1] = CORRELATION[1, 0] = 0.4
CORRELATION[1, 2] = CORRELATION[2, 1] = -0.6
CORRELATION[3, 4] = CORRELATION[4, 3] = 0.8
KNOWN = ParameterCovariance(covariance=CORRELATION * np.outer(SPREAD, SPREAD))


def predicted(box: Box = CLOSED, *, known: ParameterCovariance | None = KNOWN) -> Prediction:
    return predict(UNIT, box=box, air=AIR, drive=Drive(), frequency_hz=HZ, known=known, loud_v=10.0)


@pytest.mark.parametrize("box", [CLOSED, VENTED], ids=["closed", "vented"])
def test_intervals_are_those_that_a_thousand_drawn_units_scatter_by(box: Box) -> None:
    # Monte Carlo (JCGM 101:2008) against first order; 1500 draws scatter a deviation by 1.8 %,
    # four times that and 2 % for curvature are allowed.
    found = predicted(box)
    nominal = figures(UNIT, box=box, air=AIR, drive=Drive(), frequency_hz=HZ)
    drawn = np.random.default_rng(5).multivariate_normal(np.zeros(6), KNOWN.covariance, size=1500)
    levels, delays, excursions, phases, ohms = [], [], [], [], []
    corners: list[float] = []
    for row in drawn:
        unit = replace(
            UNIT,
            **{
                name: getattr(UNIT, name) * math.exp(by)
                for name, by in zip(UNCERTAIN, row, strict=True)
            },
        )
        one = figures(unit, box=box, air=AIR, drive=Drive(), frequency_hz=HZ)
        levels.append(20 * np.log10(np.abs(one.pressure)))
        delays.append(1e3 * one.group_delay_s)
        excursions.append(np.abs(one.displacement) * math.sqrt(2) * 1e3 * 10 / 2.83)
        phases.append(np.degrees(np.angle(one.pressure / nominal.pressure)))
        ohms.append(np.abs(one.impedance))
        if len(corners) < 400:
            corners.append(corner_hz(unit, box=box, air=AIR, drop_db=HALF_POWER_DB))
    for name, sample in (
        ("level", levels),
        ("level_phase", phases),
        ("group_delay", delays),
        ("excursion", excursions),
        ("impedance", ohms),
    ):
        told = found.curves[name].uncertainty
        assert told is not None
        scatter = np.std(sample, axis=0)
        # Where the slopes cancel, first order tells less than the curvature makes.
        clear = told / 2 > 0.1 * np.max(told / 2)
        np.testing.assert_allclose(told[clear] / 2, scatter[clear], rtol=0.092, err_msg=name)
    f3 = found.numbers["f3_hz"]
    assert f3.uncertainty is not None
    assert f3.uncertainty / 2 == pytest.approx(np.std(corners), rel=0.15)


def test_two_parameters_that_cancel_cost_the_flat_part_nothing() -> None:
    # 20 log10 of fs^1.5 Vas^0.5 Qes^-0.5 (Small 1972): equal errors of Vas and Qes cancel.
    both = np.zeros((6, 6))
    at = [UNCERTAIN.index("vas_m3"), UNCERTAIN.index("qes")]
    both[np.ix_(at, at)] = 0.05**2
    number = predicted(known=ParameterCovariance(covariance=both)).numbers["passband_db"]
    assert number.uncertainty == pytest.approx(0.0, abs=1e-6)
    alone = predicted(known=ParameterCovariance.independent(fs_hz=0.01)).numbers["passband_db"]
    assert alone.uncertainty == pytest.approx(2 * 1.5 * 8.685890 * 0.01, rel=1e-6)


def test_without_a_covariance_no_interval_is_told() -> None:
    found = predicted(known=None)
    assert all(curve.uncertainty is None for curve in found.curves.values())
    assert all(number.uncertainty is None for number in found.numbers.values())


def test_group_delay_is_the_slope_of_the_phase_of_a_high_pass() -> None:
    # Butterworth of second order at its corner: tau = sqrt 2 / w0 (closed form).
    box = closed_for_qtc(UNIT, qtc=math.sqrt(0.5))
    fc_hz = UNIT.fs_hz * math.sqrt(1 + UNIT.vas_m3 / box.volume_m3)
    found = predict(UNIT, box=box, air=AIR, drive=Drive(), frequency_hz=np.array([fc_hz]))
    want_ms = 1e3 * math.sqrt(2) / (2 * math.pi * fc_hz)
    assert found.curves["group_delay"].value[0] == pytest.approx(want_ms, rel=1e-7)


def test_level_and_excursion_follow_voltage_and_distance() -> None:
    near = predict(
        UNIT,
        box=CLOSED,
        air=AIR,
        drive=Drive(volts=5.66, distance_m=0.5),
        frequency_hz=HZ,
    )
    far = predict(UNIT, box=CLOSED, air=AIR, drive=Drive(), frequency_hz=HZ)
    raised = near.curves["level"].value - far.curves["level"].value
    np.testing.assert_allclose(raised, 40 * math.log10(2), atol=1e-9)
    ratio = near.curves["excursion"].value / far.curves["excursion"].value
    np.testing.assert_allclose(ratio, 2.0, rtol=1e-9)


def test_speed_in_the_vent_is_peak_flow_over_all_vents() -> None:
    found = predicted(VENTED, known=None)
    hz = np.array([VENTED.tuning_hz])
    one = figures(UNIT, box=VENTED, air=AIR, drive=Drive(volts=10.0), frequency_hz=hz)
    assert one.vent_flow is not None
    peak = float(np.interp(VENTED.tuning_hz, HZ, found.curves["vent_speed"].value))
    assert peak == pytest.approx(math.sqrt(2) * abs(one.vent_flow[0]) / 20e-4, rel=0.02)
    assert "vent_speed" not in predicted(replace(VENTED, vent=None), known=None).curves


def test_inductance_lowers_the_level_above_and_leaves_the_corner() -> None:
    coil = replace(UNIT, le_h=0.5e-3)
    with_coil = predict(coil, box=CLOSED, air=AIR, drive=Drive(), frequency_hz=HZ)
    without = predicted(known=None)
    assert with_coil.numbers["f3_hz"].value == without.numbers["f3_hz"].value
    # 6 ohm, 0.5 mH at 2 kHz, and the mass as a capacitor: Bl2 / (w Mms) = 0.269 ohm.
    drop = with_coil.curves["level"].value[-1] - without.curves["level"].value[-1]
    coiled, bare = abs(6 + 1j * (2 * math.pi - 0.269)), abs(6 - 0.269j)
    assert drop == pytest.approx(-20 * math.log10(coiled / bare), abs=5e-3)


@pytest.mark.parametrize(
    ("more", "ohm"),
    [
        ({"pairs": ((0.35e-3, 2.2),)}, 6 + 1j * 2.199115 * 2.2 / (2.2 + 1j * 2.199115)),
        ({"semi": (0.02, 0.5)}, 6 + 0.02 * (1j * 2 * math.pi * 1000) ** 0.5),
    ],
)
def test_lossy_coils_are_circuits(more: dict[str, object], ohm: complex) -> None:
    coil = replace(UNIT, **more).coil_ohm(np.array([1000.0]))  # type: ignore[arg-type]  # either
    assert coil[0] == pytest.approx(ohm, rel=1e-6)


# The most that it gives


def test_below_resonance_a_closed_box_is_limited_by_excursion_above_by_power() -> None:
    unit = replace(UNIT, xmax_m=4e-3, rated_power_w=50.0)
    found = loudest(unit, box=CLOSED, air=AIR, drive=Drive(), frequency_hz=HZ, watts_ohm=6.0)
    assert found.limited_by[0] == EXCURSION
    assert found.limited_by[-1] == POWER
    # Displaced air alone: p = rho Sd x w2 / (2 pi r), x = Xmax / sqrt 2.
    pascal = 1.2 * 133e-4 * 4e-3 / math.sqrt(2) * (2 * math.pi * 20) ** 2 / (2 * math.pi)
    assert found.level.value[0] == pytest.approx(20 * math.log10(pascal / 20e-6), abs=1e-6)
    assert found.watts[-1] == pytest.approx(50.0, rel=1e-12)


def test_a_narrow_vent_stops_the_box_at_its_tuning() -> None:
    unit = replace(UNIT, xmax_m=4e-3, rated_power_w=50.0)
    vent = cut_for(Vent(area_m2=5e-4), volume_m3=25e-3, tuning_hz=40.0, air=AIR)
    box = VentedBox(volume_m3=25e-3, tuning_hz=40.0, vent=vent)
    hz = np.array([40.0001])
    found = loudest(unit, box=box, air=AIR, drive=Drive(), frequency_hz=hz, watts_ohm=6.0)
    assert found.limited_by == (VENT,)
    # All the sound is the vent's: 5 % of 343 m/s peak through 5 cm2.
    pascal = 1.2 * 0.05 * 343 * 5e-4 / math.sqrt(2) * 2 * math.pi * 40 / (2 * math.pi)
    assert found.level.value[0] == pytest.approx(20 * math.log10(pascal / 20e-6), abs=1e-3)


def test_a_unit_of_which_nothing_is_rated_has_no_most() -> None:
    with pytest.raises(DspError, match="neither xmax_m nor rated_power_w"):
        loudest(UNIT, box=CLOSED, air=AIR, drive=Drive(), frequency_hz=HZ, watts_ohm=6.0)


# Limits and refusals


def test_the_lowest_limit_with_a_frequency_ends_the_valid_range() -> None:
    limits = model_limits(UNIT, box=VENTED, air=AIR)
    placed = [limit.high_hz for limit in limits if limit.high_hz is not None]
    assert placed == sorted(placed)
    # ka = 1 of 133 cm2 at 343 m/s; half a wave in a cube of 25 l; a pipe of 12 cm with ends.
    piston, cube = 343 / (2 * math.pi * 0.0650650), 343 / (2 * 0.025 ** (1 / 3))
    by_name: dict[str, Floats | float | None] = {limit.name: limit.high_hz for limit in limits}
    assert by_name["piston"] == pytest.approx(piston, rel=1e-4)
    assert by_name["box"] == pytest.approx(cube, rel=1e-9)
    pipe = 0.12 + (8 / (3 * math.pi) + 0.6133) * math.sqrt(20e-4 / math.pi)
    assert by_name["vent"] == pytest.approx(343 / (2 * pipe), rel=1e-9)
    valid = predicted(VENTED, known=None).curves["level"].valid
    assert valid.high_hz == pytest.approx(cube)
    assert valid.high_reason == "box"


@pytest.mark.parametrize(
    ("wrong", "said"),
    [
        (lambda: replace(UNIT, fs_hz=0.0), "fs_hz not positive: given 0"),
        (lambda: ClosedBox(volume_m3=-1.0), "volume_m3 not positive"),
        (lambda: VentedBox(volume_m3=0.02, tuning_hz=math.nan), "tuning_hz not positive"),
        (lambda: closed_for_qtc(UNIT, qtc=0.4), r"below the unit's: given 0\.4, allowed above 0"),
        (lambda: vented_alignment(1.2), "C4: Qts out of reach: given 1.2"),
        (lambda: vented_alignment(0.2, low_family="SC4"), r"SC4: Qts out of reach"),
        (lambda: vented_alignment(0.4, q_leakage=2.0), "leaks too much"),
        (lambda: Vent(area_m2=1e-3, count=0), "no vents"),
        (
            lambda: cut_for(Vent(area_m2=1e-4), volume_m3=5e-3, tuning_hz=90.0, air=AIR),
            r"too small for this tuning.*allowed above .* cm2",
        ),
        (lambda: ParameterCovariance.independent(bl_tm=0.1), "no such parameter"),
        (lambda: ParameterCovariance(covariance=-np.eye(6)), "not a covariance"),
    ],
)
def test_what_cannot_be_is_refused_in_one_line(wrong: object, said: str) -> None:
    assert callable(wrong)
    with pytest.raises(DspError, match=said):
        wrong()


def test_the_least_area_that_is_named_is_just_enough() -> None:
    with pytest.raises(DspError) as refused:
        cut_for(Vent(area_m2=1e-4), volume_m3=5e-3, tuning_hz=90.0, air=AIR)
    least_cm2 = float(str(refused.value.allowed).split()[1])
    longer = cut_for(Vent(area_m2=1.01e-4 * least_cm2), volume_m3=5e-3, tuning_hz=90.0, air=AIR)
    assert longer.length_m is not None
    assert longer.length_m < 2e-3


def test_losses_may_forbid_a_quality_factor() -> None:
    leaky = ClosedBox(volume_m3=1.0, q_leakage=2.0)
    with pytest.raises(DspError, match="its losses forbid"):
        closed_for_qtc(UNIT, qtc=5.0, losses=leaky)
