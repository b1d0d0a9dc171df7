"""The unit nearest to the middle is found, shown, and made the reference.

Twenty units at -0.9 … +1.0 dB, unit 20 found bad and its resonance off: the median of the nineteen
others is 0.0 dB, unit 10.
"""

from dataclasses import replace
from datetime import UTC, datetime, timedelta
from pathlib import Path

import numpy as np
import pytest
from PySide6.QtCore import Qt
from PySide6.QtTest import QTest
from pytestqt.qtbot import QtBot

from app.desktop.bays.limits import LimitsBay
from app.desktop.panels.limits.left_column import Tool
from app.desktop.presenters.limits_reference import reference_state
from app.measure.station_drift import StationDrift
from app.measure.station_offset import StationOffset, StationOffsets
from tests.app.desktop.limits.seen_bay import settled
from tests.app.measure.trial_store import PROCEDURE, trial_of, twenty_units


def begin(bay: LimitsBay, qtbot: QtBot) -> None:
    bay.actions_table.of("choose_reference").trigger()
    settled(bay, qtbot)


def test_the_nearest_units_are_listed_and_drawn(qtbot: QtBot, bay: LimitsBay) -> None:
    begin(bay, qtbot)
    panel = bay.column.reference
    assert bay.column.tool is Tool.REFERENCE
    rows = [row.cells[0] for row in panel.table.rows]
    assert rows[0] == "0010"
    assert set(rows[1:]) == {"0009", "0011", "0008", "0012"}
    assert panel.table.rows[0].cells[1] == "0.00"
    assert panel.now.text().startswith("No reference unit yet")
    assert [line.name for line in bay.units.plot.lines] == ["0010"]


def test_enter_makes_it_the_reference_with_who_and_why(qtbot: QtBot, bay: LimitsBay) -> None:
    begin(bay, qtbot)
    panel = bay.column.reference
    QTest.keyClick(panel.why.box, Qt.Key.Key_Return)
    assert panel.why.refusal == "Missing: a reason."
    assert bay.bench.store.reference(PROCEDURE.name) is None
    panel.by.set_text("quality lead")
    panel.why.set_text("nearest of five lots")
    QTest.keyClick(panel.why.box, Qt.Key.Key_Return)
    qtbot.waitUntil(lambda: bay.bench.store.reference(PROCEDURE.name) is not None)
    settled(bay, qtbot)
    reference = bay.bench.store.reference(PROCEDURE.name)
    assert reference is not None
    assert reference.unit == "T4-W31-0010"
    assert bay.words.happened == "T4-W31-0010 is the reference unit from now on."
    assert bay.column.tool is Tool.POINT
    entry, *_ = bay.bench.store.audit(subject=f"take {reference.id}")
    assert (entry.who, entry.why) == ("quality lead", "nearest of five lots")
    begin(bay, qtbot)
    assert panel.now.text().startswith("Now: T4-W31-0010")


def test_without_units_it_says_what_to_do(qtbot: QtBot, empty_bay: LimitsBay) -> None:
    begin(empty_bay, qtbot)
    assert empty_bay.words.happened == "There is no unit to choose from."
    assert empty_bay.column.tool is Tool.POINT


def test_stations_that_share_units_are_held_against_each_other(tmp_path: Path) -> None:
    offset = StationOffset(
        station="station 2",
        units=("a", "b", "c"),
        level_db=0.4,
        uncertainty_db=0.1,
        worst="b",
        worst_db=0.5,
    )
    alike = replace(offset, station="station 3", level_db=-0.05)
    alone = replace(offset, station="station 4", units=("a",), uncertainty_db=None)
    found = StationOffsets(
        against="station 1", band_hz=(300.0, 3000.0), stations=(offset, alike, alone)
    )
    with twenty_units(tmp_path) as store:
        trial = trial_of(store, PROCEDURE)
    said = reference_state(trial, None, drifts=(), offsets=found).now
    assert "station 2 reads +0.40 ± 0.10 dB against station 1, by 3 units taken on both" in said
    assert "both: the two differ." in said
    assert "station 3 reads −0.05 ± 0.10 dB against station 1" in said
    assert "no difference is told" in said
    assert "station 4 reads +0.40 dB against station 1, by 1 unit taken on both." in said


def drift(*level_db: float, per_month_db: float = 0.0) -> StationDrift:
    start = datetime(2026, 3, 1, tzinfo=UTC)
    return StationDrift(
        station="bench 1",
        serial="T4-R-1",
        take_ids=tuple(f"take {place}" for place in range(len(level_db))),
        started_utc=tuple(start + timedelta(days=place) for place in range(len(level_db))),
        level_db=np.array(level_db),
        impedance_percent=np.zeros(len(level_db)),
        chart=None,
        per_month_db=per_month_db,
        per_month_uncertainty_db=0.1,
    )


@pytest.mark.parametrize(
    ("found", "said"),
    [
        (drift(0.0, -0.05), "On bench 1 its level is −0.05 dB from the first of 2 takes."),
        (drift(0.0, 0.31), "of 2 takes; 0.2 dB is allowed."),
        (drift(0.0, 0.1, 0.2, per_month_db=3.0), "of 3 takes, drifting +3.00 dB a month."),
    ],
)
def test_how_the_reference_has_held_is_told(bay: LimitsBay, found: StationDrift, said: str) -> None:
    behind = bay.keeper.behind
    assert behind is not None
    state = reference_state(behind.trial, None, drifts=(found,), refused="too few units")
    assert said in state.now
    assert state.words == "Too few units."
