"""The invented lots: small, the same every time, with a truth that limits can be tried against."""

import runpy
from pathlib import Path
from typing import Any

import numpy as np
import pytest

from app.records.store import Store
from dsp.conformity.verdict import Verdict
from tests.app.records.made_takes import bits

FOLDER = Path(__file__).resolve().parents[2] / "demo_data"
SCRIPT = runpy.run_path(str(FOLDER / "make_lot.py"))


@pytest.fixture(scope="module")
def lots() -> Any:
    return SCRIPT["Lots"]()


def test_the_file_is_small() -> None:
    assert SCRIPT["TABLE"].stat().st_size < 1_000_000


def test_five_weeks_of_a_line_with_good_bad_and_uninspected_units(lots: Any) -> None:
    units = lots.units
    assert len({unit["serial"] for unit in units}) == len(units) == 320
    assert sorted({unit["lot"] for unit in units}) == [f"T4-W{week}" for week in range(27, 32)]
    marks = [unit["mark"] for unit in units]
    assert marks.count("bad") == 28
    assert min(marks.count("good"), marks.count("")) > 100
    # Whoever marked a unit said why, and is a role, not a person.
    said = {(unit["by"], bool(unit["why"])) for unit in units if unit["mark"]}
    assert said == {("final inspection", True), ("tram workshop", True)}
    severities = {
        round(float(one), 2) for unit in units for one in unit["faults"].values() if one is not True
    }
    assert {0.08, 0.16, 0.28, 0.5} <= severities


def test_takes_are_the_same_every_time_and_kept_once(lots: Any, tmp_path: Path) -> None:
    few = SCRIPT["Lots"]()
    few.units[:] = few.units[:3]
    with Store.open(tmp_path / "a.sqlite") as store:
        assert SCRIPT["fill"](store, lots=few) == 3
        assert SCRIPT["fill"](store, lots=few) == 0
        (found,) = store.find(serial="T4-W27-0002")
        take = store.take(found.id)
        assert "its recording is not in this store" in take.warnings[0]
        marks = store.marks()
    expected = {unit["serial"]: unit["mark"] for unit in few.units if unit["mark"]}
    assert {serial: one.mark for serial, one in marks.items()} == expected
    again = lots.take(1, capture=SCRIPT["silence"](lots, 1))
    assert bits(again) == bits(take)


def test_good_units_mostly_conform_and_gross_faults_mostly_do_not(lots: Any) -> None:
    def stopped(place: int) -> bool:
        capture = SCRIPT["silence"](lots, place)
        return lots.take(place, capture=capture).verdict is Verdict.DOES_NOT_CONFORM

    units = list(enumerate(lots.units))
    good = [place for place, unit in units if not unit["faults"]][::8]
    gross = [
        place
        for place, unit in units
        if max(map(float, unit["faults"].values()), default=0.0) > 0.45
    ]
    assert np.mean([stopped(place) for place in good]) < 0.1
    # One sweep hurries past a loose particle; everything else that gross is stopped.
    assert np.mean([stopped(place) for place in gross]) >= 0.8
