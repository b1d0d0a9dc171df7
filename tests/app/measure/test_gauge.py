"""Gauge studies of readings and of stored repeats, and gauges held against their limits."""

from collections.abc import Iterator
from dataclasses import replace
from datetime import timedelta

import numpy as np
import pytest

from app.errors import BadInputError
from app.measure.gauge import gauge_of_limit, gauge_study
from app.measure.gauge_of_takes import _balanced, gauge_of_takes
from app.measure.station_drift import station_drift
from app.measure.station_offset import station_offsets
from app.procedure.mask_schema import Mask
from app.records.repeated_takes import RepeatedTake
from app.records.store import Store
from tests.app.measure.trial_store import HZ, keep, unit_take
from tests.app.records.made_takes import CHAIN, START

UNITS, REPEATS = 5, 3
OTHER = CHAIN.model_copy(update={"chain": CHAIN.chain.model_copy(update={"name": "bench 3"})})
OFFSET_DB = 0.15  # of the other station
NOISE_DB = 0.02


@pytest.fixture(scope="module")
def store(tmp_path_factory: pytest.TempPathFactory) -> Iterator[Store]:
    """Five units half a decibel apart, each three times on two stations, day after day."""
    rng = np.random.default_rng(12)
    with Store.open(tmp_path_factory.mktemp("gauge") / "records.sqlite") as made:
        number = 0
        for repeat in range(REPEATS):
            for unit in range(UNITS):
                for station, chain in enumerate((CHAIN, OTHER)):
                    number += 1
                    away = 0.5 * unit + OFFSET_DB * station + NOISE_DB * rng.standard_normal()
                    away += 0.1 * repeat * station  # the other one drifts
                    take = unit_take(number, offset=away, chain=chain)
                    started = take.started_utc + timedelta(days=repeat)
                    keep(
                        made,
                        replace(take, unit=f"T4-R-{unit}", started_utc=started),
                        number=number,
                    )
        lone = unit_take(99, offset=0.0, chain=CHAIN)
        keep(made, replace(lone, unit="T4-R-lone"), number=99)
        yield made


def study_of(scatter: float) -> dict[tuple[str, str], list[float]]:
    rng = np.random.default_rng(2)
    return {
        (f"unit {unit}", person): [unit + scatter * float(rng.standard_normal()) for _ in range(3)]
        for unit in range(8)
        for person in ("A", "B")
    }


def test_repeats_in_the_store_tell_stations_and_repeats_apart(store: Store) -> None:
    found = gauge_of_takes(store, procedure="line-check", quantity="level")
    assert found.operators == ("bench 2", "bench 3")
    assert found.units == tuple(f"T4-R-{unit}" for unit in range(UNITS))
    assert found.repeats == REPEATS
    assert found.frequency_hz is not None
    # Where all takes are valid; level alone differs, so that every frequency tells the same.
    assert (found.frequency_hz[0], found.frequency_hz[-1]) == (HZ[HZ >= 50][0], HZ[HZ <= 15e3][-1])
    shares = found.study.shares
    assert np.ptp(shares.gauge) == pytest.approx(0.0, abs=1e-9)
    # Repeats lie 0, 0.1, 0.2 dB along the drift of one station of two: 0.1/sqrt(2) dB in all.
    assert shares.repeatability[0] == pytest.approx(np.hypot(0.1 / np.sqrt(2), NOISE_DB), rel=0.25)
    assert shares.part[0] == pytest.approx(0.5 * np.std(np.arange(UNITS), ddof=1), rel=0.05)
    assert found.deviation_at(np.array([1000.0]))[0] == pytest.approx(shares.gauge[0])


def test_a_band_is_one_figure_and_days_are_operators(store: Store) -> None:
    found = gauge_of_takes(
        store, procedure="line-check", quantity="level", band_hz=(300.0, 3000.0), by="day"
    )
    assert found.frequency_hz is None
    assert found.operators == ("2026-07-27", "2026-07-28", "2026-07-29")
    assert found.repeats == 2  # one a station
    numbers = gauge_of_takes(store, procedure="line-check", quantity="fs_hz")
    assert numbers.study.shares.gauge[0] == 0.0


def test_the_largest_balanced_part_is_studied_by_its_newest_takes() -> None:
    def takes(serial: str, station: str, *days: int) -> list[RepeatedTake]:
        return [
            RepeatedTake(
                take_id=f"{serial} {station} {day}",
                number=day,
                serial=serial,
                station=station,
                started_utc=START + timedelta(days=day),
            )
            for day in days
        ]

    found = _balanced(
        [
            *takes("one", "A", 1, 2, 3, 4),
            *takes("one", "B", 1, 2),
            *takes("two", "A", 1, 2),
            *takes("two", "B", 5, 6, 7),
            *takes("three", "A", 1, 2),
            *takes("three", "B", 1),
            # However many units were taken once everywhere: without repeats they say nothing.
            *(
                take
                for unit in range(9)
                for station in "AB"
                for take in takes(f"{unit}", station, 1)
            ),
        ],
        by="station",
    )
    assert {cell: [one.number for one in those] for cell, those in found.items()} == {
        ("one", "A"): [3, 4],
        ("one", "B"): [1, 2],
        ("two", "A"): [1, 2],
        ("two", "B"): [6, 7],
    }


def test_nothing_repeated_is_no_study(store: Store) -> None:
    with pytest.raises(BadInputError, match="no two units were taken twice"):
        gauge_of_takes(store, procedure="line-check", quantity="thd")


def test_a_gauge_is_rated_by_its_share_of_the_total() -> None:
    # AIAG, MSA 4th ed.: below 10 % good, above 30 % unfit.
    assert [gauge_study(study_of(s)).rating for s in (0.05, 0.5, 3.0)] == [
        "good",
        "conditional",
        "unfit",
    ]


def test_a_limit_that_asks_too_much_of_the_gauge_is_told() -> None:
    study = gauge_study(study_of(0.1))
    gauge = float(study.study.shares.gauge[0])
    wide, narrow = (
        gauge_of_limit(study, mask=Mask(quantity="fs_hz", upper=half, lower=-half))
        for half in (50 * gauge, 5 * gauge)
    )
    assert (wide.rating, wide.remark) == ("good", "")
    assert wide.share == pytest.approx(0.06)
    assert narrow.rating == "unfit"
    assert narrow.remark.startswith("the gauge is too coarse for this limit: six of its deviations")
    one = gauge_of_limit(study, mask=Mask(quantity="fs_hz", upper=5.0), middle=np.array([2.0]))
    assert one.share == pytest.approx(6 * gauge / 6.0)


def test_the_worst_octave_of_a_curve_is_found() -> None:
    hz = np.geomspace(100.0, 10_000.0, 40)
    rng = np.random.default_rng(3)
    noise = np.where((hz > 2000) & (hz < 5000), 0.5, 0.05)
    values = {
        (f"unit {unit}", "A"): unit + noise * rng.standard_normal((3, hz.size)) for unit in range(6)
    }
    found = gauge_study(values, frequency_hz=hz)
    assert found.worst_octave is not None
    at_hz, share = found.worst_octave
    assert 2000 < at_hz < 5000
    assert share > 3 * found.share


@pytest.mark.parametrize(
    ("drop", "said"),
    [(("unit 3", "B"), "unit unit 3 was not measured by B"), (None, "not everybody repeated")],
)
def test_what_is_missing_from_a_study_is_named(drop: tuple[str, str] | None, said: str) -> None:
    values = study_of(0.1)
    if drop is not None:
        del values[drop]
    else:
        values["unit 3", "B"].pop()
    with pytest.raises(BadInputError, match=said):
        gauge_study(values)


def test_a_reference_unit_tells_which_station_drifts(store: Store) -> None:
    steady, drifting = station_drift(store, procedure="line-check", serial="T4-R-2")
    assert (steady.station, drifting.station) == ("bench 2", "bench 3")
    assert drifting.level_db[-1] == pytest.approx(0.2, abs=4 * NOISE_DB)
    days = np.arange(REPEATS)
    slope = np.polyfit(days, drifting.level_db, 1)[0]
    assert drifting.per_month_db == pytest.approx(30 * slope, rel=1e-3)
    assert steady.last_within
    assert np.isnan(steady.impedance_percent).all()
    assert station_drift(store, procedure="line-check", serial="T4-R-lone") == ()


def test_stations_that_share_units_are_compared(store: Store) -> None:
    found = station_offsets(store, procedure="line-check")
    assert found.against == "bench 2"
    (other,) = found.stations
    assert (other.station, len(other.units)) == ("bench 3", UNITS)
    assert other.level_db == pytest.approx(OFFSET_DB + 0.1, abs=3 * NOISE_DB)
    assert other.apart
    single = station_offsets(store, procedure="line-check", serials=["T4-R-1"])
    assert single.stations[0].uncertainty_db is None
    with pytest.raises(BadInputError, match="no unit was taken on two"):
        station_offsets(store, procedure="line-check", serials=["T4-R-lone"])
