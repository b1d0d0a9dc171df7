"""Pistonphones, calibrators and written budgets in figures that others printed.

Sources: ISO 1683 (20 µPa); IEC 60942 (reference conditions; acceptance limits of its classes);
the law of Boyle for load volumes, in closed form; ICAO's standard atmosphere for heights;
JCGM 100:2008 (GUM), H.1 (calibration of an end gauge), G.4 and table G.2.
"""

import math
from dataclasses import replace

import pytest

from dsp import DspError
from dsp.calibration.budget import BudgetLine, Kind, WrittenBudget
from dsp.calibration.conditions import Conditions
from dsp.calibration.instrument import CLASS_LIMITS, Instrument, InstrumentKind, LoadVolume
from dsp.calibration.sound_level import load_correction_db, pressure_correction_db, sound_level


@pytest.mark.parametrize(
    ("kpa", "db"),
    [
        (65.0, -3.8561),
        (80.0, -2.0525),
        (90.0, -1.0295),
        (95.0, -0.5599),
        (98.0, -0.2898),
        (100.0, -0.1143),
        (101.325, 0.0),
        (103.0, 0.1424),
        (105.0, 0.3095),
    ],
)
def test_a_pistonphone_follows_the_static_pressure(kpa: float, db: float) -> None:
    assert pressure_correction_db(kpa) == pytest.approx(db, abs=5e-5)


@pytest.mark.parametrize(("metres", "db"), [(500, -0.5178), (1000, -1.0416), (2000, -2.1075)])
def test_on_a_mountain_it_is_quieter(metres: float, db: float) -> None:
    kpa = 101.325 * (1 - 2.25577e-5 * metres) ** 5.25588
    assert pressure_correction_db(kpa) == pytest.approx(db, abs=5e-5)


@pytest.mark.parametrize(
    ("microphone_cm3", "db"), [(0.25, 0.4903), (0.7, 0.2832), (1.0, 0.1478), (1.5, -0.0732)]
)
def test_a_smaller_microphone_hears_a_pistonphone_louder(microphone_cm3: float, db: float) -> None:
    load = LoadVolume(cavity_cm3=18.4, stated_cm3=1.333, microphone_cm3=microphone_cm3)
    assert load_correction_db(load) == pytest.approx(db, abs=5e-5)


def test_class_1_allows_a_quarter_of_a_decibel_0_7_percent_and_2_5_percent() -> None:
    one = CLASS_LIMITS["1"]
    assert (one.level_db, one.frequency_percent, one.distortion_percent) == (0.25, 0.7, 2.5)
    for name in ("level_db", "fluctuation_db", "frequency_percent", "distortion_percent"):
        strict, field, survey = (getattr(CLASS_LIMITS[c], name) for c in ("LS", "1", "2"))
        assert strict <= field <= survey


def test_which_instrument_follows_the_pressure_is_its_kind_unless_it_is_said() -> None:
    high = Conditions(pressure_kpa=98.0)
    piston = Instrument(kind=InstrumentKind.PISTONPHONE, level_db=114.0, frequency_hz=250.0)
    held = replace(piston, kind=InstrumentKind.CALIBRATOR)
    assert sound_level(piston, conditions=high).level_db == pytest.approx(113.7102, abs=5e-5)
    assert sound_level(held, conditions=high).level_db == 114.0
    compensated = replace(piston, needs_pressure=False)
    assert sound_level(compensated, conditions=high).corrections_db == {}


def test_the_slope_against_the_pressure_is_0_08572_decibel_a_kilopascal() -> None:
    piston = Instrument(kind=InstrumentKind.PISTONPHONE, level_db=124.0, frequency_hz=250.0)
    (line,) = [
        one
        for one in sound_level(piston, conditions=Conditions()).lines
        if one.source == "static pressure"
    ]
    # A louder instrument leaves less sensitivity.
    assert line.sensitivity == pytest.approx(-0.08572, abs=5e-6)
    assert line.standard_uncertainty == 0.1  # 0.2 kPa, k = 2


def test_the_load_volume_s_slope_is_that_of_its_closed_form() -> None:
    def level(volume: float) -> float:
        load = LoadVolume(
            cavity_cm3=18.4,
            stated_cm3=1.333,
            microphone_cm3=volume,
            microphone_uncertainty_cm3=0.1,
        )
        return load_correction_db(load)

    piston = Instrument(
        kind=InstrumentKind.PISTONPHONE,
        level_db=124.0,
        frequency_hz=250.0,
        load=LoadVolume(
            cavity_cm3=18.4, stated_cm3=1.333, microphone_cm3=0.7, microphone_uncertainty_cm3=0.1
        ),
    )
    (line,) = [
        one
        for one in sound_level(piston, conditions=Conditions()).lines
        if one.source == "load volume"
    ]
    slope = (level(0.701) - level(0.699)) / 0.002
    assert line.sensitivity == pytest.approx(-slope, rel=1e-5)


def test_temperature_and_humidity_count_from_23_degrees_and_50_percent() -> None:
    instrument = Instrument(
        kind=InstrumentKind.CALIBRATOR,
        level_db=94.0,
        frequency_hz=1000.0,
        temperature_db_per_c=-0.002,
        humidity_db_per_percent=0.001,
    )
    got = sound_level(instrument, conditions=Conditions(temperature_c=33.0, humidity_percent=30.0))
    assert got.corrections_db == pytest.approx({"temperature": -0.02, "humidity": -0.02})
    assert got.level_db == pytest.approx(93.96)
    contributions = {one.source: one.contribution for one in got.lines}
    assert contributions["temperature"] == pytest.approx(0.001)  # 1 °C, k = 2
    assert contributions["humidity"] == pytest.approx(0.005)  # 10 %, k = 2


def test_without_a_certificate_the_class_is_a_rectangle() -> None:
    bare = Instrument(kind=InstrumentKind.CALIBRATOR, level_db=94.0, frequency_hz=1000.0)
    assert bare.level_standard_uncertainty_db == pytest.approx(0.25 / math.sqrt(3))


@pytest.mark.parametrize(
    ("name", "value"), [("level_db", 40.0), ("frequency_hz", 0.0), ("level_uncertainty_db", -0.1)]
)
def test_an_instrument_that_cannot_be_is_refused(name: str, value: float) -> None:
    good = Instrument(kind=InstrumentKind.CALIBRATOR, level_db=94.0, frequency_hz=1000.0)
    with pytest.raises(DspError, match=f"instrument: {name} outside"):
        replace(good, **{name: value})  # type: ignore[arg-type]  # by name


def test_pressure_reduced_to_nothing_is_refused() -> None:
    with pytest.raises(DspError, match=r"pressure_kpa outside: given 1013\.25, allowed 50 to 110"):
        Conditions(pressure_kpa=1013.25)  # hPa typed as kPa


def line(source: str, nanometres: float, degrees: float) -> BudgetLine:
    return BudgetLine(
        source=source,
        kind=Kind.OTHER,
        standard_uncertainty=nanometres,
        unit="nm",
        sensitivity=1.0,
        degrees=degrees,
    )


def test_the_end_gauge_of_the_guide_has_32_nanometres_and_16_degrees_of_freedom() -> None:
    # JCGM 100:2008, table H.1 and H.1.6
    budget = WrittenBudget(
        unit="nm",
        lines=(
            line("standard", 25.0, 18.0),
            line("repeated observations", 5.8, 24.0),
            line("comparator, random", 3.9, 5.0),
            line("comparator, systematic", 6.7, 8.0),
            line("difference in expansion", 2.9, 50.0),
            line("difference in temperature", 16.6, 2.0),
        ),
    )
    assert round(budget.standard_uncertainty) == 32
    assert math.floor(budget.degrees) == 16


@pytest.mark.parametrize(
    ("degrees", "k"),
    [(1, 13.97), (2, 4.53), (4, 2.87), (5, 2.65), (8, 2.37), (10, 2.28), (20, 2.13), (50, 2.05)],
)
def test_coverage_factors_are_those_of_table_g_2(degrees: float, k: float) -> None:
    budget = WrittenBudget(unit="dB", lines=(line("repeated", 1.0, degrees),))
    assert budget.k == pytest.approx(k, abs=0.005)
    assert budget.expanded == pytest.approx(k, abs=0.005)


def test_what_is_taken_as_known_is_covered_by_2() -> None:
    assert WrittenBudget(unit="dB", lines=(line("stated", 0.1, math.inf),)).k == 2.0
