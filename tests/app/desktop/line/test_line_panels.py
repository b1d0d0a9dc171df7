"""Serial field, last units, counts and export: what each shows, and what it tells."""

from pathlib import Path

import pytest
from PySide6.QtCore import Qt
from PySide6.QtTest import QTest
from PySide6.QtWidgets import QFileDialog, QWidget
from pytestqt.qtbot import QtBot

from app.desktop.panels.line.counts_table import CountsTable
from app.desktop.panels.line.export_row import ExportRow
from app.desktop.panels.line.last_units import LastUnits
from app.desktop.panels.line.serial_field import SerialField
from app.desktop.presenters.line_serial import SerialHint
from app.desktop.presenters.line_side import LastUnit, counts_state
from app.desktop.presenters.mark import Mark
from app.records.counts import VerdictCounts

HINT = SerialHint(prefix="T4-W31-", digits=4)


def units(count: int) -> tuple[LastUnit, ...]:
    return tuple(
        LastUnit(take_id=str(number), mark=Mark.GOOD, words=f"unit {number}")
        for number in range(count)
    )


def test_the_prefix_makes_room_for_itself_and_goes_when_a_scanner_types(qtbot: QtBot) -> None:
    field = SerialField()
    qtbot.addWidget(field)
    plain = field.box.textMargins().left()
    field.set_hint(HINT)
    assert field.box.textMargins().left() > plain
    QTest.keyClicks(field.box, "0419")
    assert field.serial == "T4-W31-0419"
    field.set_text("")
    QTest.keyClicks(field.box, "T4-W32-0001")
    assert field.box.textMargins().left() == plain
    assert field.serial == "T4-W32-0001"


def test_the_newest_unit_stands_at_the_right_edge_however_few_there_are(qtbot: QtBot) -> None:
    strip = LastUnits()
    qtbot.addWidget(strip)
    strip.resize(912, strip.height())
    for count in (1, 7, 24):
        strip.set_units(units(count))
        assert strip.place(count - 1).x() == pytest.approx(912 - 19)
    assert strip.place(0).x() == pytest.approx(19)


def test_a_press_beside_the_marks_tells_nothing(qtbot: QtBot) -> None:
    strip = LastUnits()
    qtbot.addWidget(strip)
    strip.resize(912, strip.height())
    strip.set_units(units(3))
    heard: list[str] = []
    strip.pressed.connect(heard.append)
    for place in (strip.place(1).toPoint(), strip.rect().topLeft()):
        QTest.mouseClick(strip, Qt.MouseButton.LeftButton, pos=place)
    assert heard == ["1"]


def test_counts_and_units_are_read_aloud(qtbot: QtBot) -> None:
    table, strip = CountsTable(), LastUnits()
    qtbot.addWidget(table)
    qtbot.addWidget(strip)
    table.set_state(counts_state(VerdictCounts(conforms=97, does_not_conform=4), lot="T4-W31"))
    told = {child.accessibleName() for child in table.findChildren(QWidget)}
    assert "Lot T4-W31 yield 96.0 %" in told
    assert "conforms 97; does not conform 4; not decided 0" in told
    strip.set_units(units(2))
    assert strip.accessibleName() == "Last 24 units, newest first: unit 1; unit 0"


def test_the_first_tick_asks_for_a_folder(
    qtbot: QtBot, monkeypatch: pytest.MonkeyPatch, tmp_path: Path
) -> None:
    row = ExportRow()
    qtbot.addWidget(row)
    heard: list[object] = []
    row.chosen.connect(heard.append)
    answers = iter(["", str(tmp_path)])
    monkeypatch.setattr(QFileDialog, "getExistingDirectory", lambda *_: next(answers))
    row.check.click()
    assert not row.check.isChecked()  # nobody chose a folder
    row.check.click()
    row.check.click()
    row.check.click()
    assert heard == [tmp_path, None, tmp_path]
