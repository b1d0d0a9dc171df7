"""What inspection found is noted where it is needed, and counted at once."""

import pytest
from PySide6.QtCore import Qt
from PySide6.QtTest import QTest
from pytestqt.qtbot import QtBot

from app.desktop.bays.limits import LimitsBay
from app.errors import BadInputError
from app.procedure.edit_masks import offset
from tests.app.desktop.limits.seen_bay import settled


def test_a_unit_that_was_inspected_counts_at_once(qtbot: QtBot, bay: LimitsBay) -> None:
    bay.draft.edit(lambda mask: offset(mask, upper_by=-2.25, lower_by=0.0), text="Offset")
    settled(bay, qtbot)
    panel = bay.side.inspection
    assert panel.isHidden()
    row = next(one for one in bay.side.flips.rows if one.serial == "0018")
    bay.side.flips.pressed.emit(row.unit)
    assert not panel.isHidden()
    bay.actions_table.of("mark_bad").trigger()
    assert panel.by.refusal == "Missing: a name."
    panel.by.set_text("inspection")
    panel.why.set_text("heard a buzz")
    bay.actions_table.of("mark_bad").trigger()
    qtbot.waitUntil(lambda: "T4-W31-0018" in bay.bench.store.marks())
    settled(bay, qtbot)
    qtbot.waitUntil(lambda: bay.side.flips.rows[0].serial == "0018")
    assert bay.side.flips.rows[0].why == "bad, heard a buzz (level)"
    assert bay.words.happened == "T4-W31-0018 was found bad."
    # It is still drawn, and stands at the head of those that change.
    assert [line.name for line in bay.units.plot.lines] == ["0018"]
    mark = bay.bench.store.marks()["T4-W31-0018"]
    assert (mark.mark, mark.by) == ("bad", "inspection")


def test_without_a_drawn_unit_the_keys_do_nothing(bay: LimitsBay) -> None:
    before = bay.bench.store.marks()
    bay.actions_table.of("mark_good").trigger()
    assert bay.bench.store.marks() == before


def test_several_selected_units_are_marked_at_once(qtbot: QtBot, bay: LimitsBay) -> None:
    bay.draft.edit(lambda mask: offset(mask, upper_by=-2.55, lower_by=0.0), text="Offset")
    settled(bay, qtbot)
    view, rows = bay.side.flips.view, bay.side.flips.rows
    assert len(rows) >= 3
    first, last = (view.visualRect(view.model().index(row, 0)).center() for row in (0, 2))
    none, shift = Qt.KeyboardModifier.NoModifier, Qt.KeyboardModifier.ShiftModifier
    QTest.mouseClick(view.viewport(), Qt.MouseButton.LeftButton, none, first)
    assert bay.presenting.shown.drawn == [rows[0].unit]
    QTest.mouseClick(view.viewport(), Qt.MouseButton.LeftButton, shift, last)
    assert bay.presenting.shown.drawn == [rows[0].unit]  # the others are selected, not drawn
    serials = [row.whole_serial for row in rows[:3]]
    panel = bay.side.inspection
    assert bay.presenting.inspected is not None
    assert bay.presenting.inspected.title == "Inspection of 3 units"
    panel.by.set_text("inspection")
    panel.why.set_text("buzz in all of them")
    bay.actions_table.of("mark_bad").trigger()
    qtbot.waitUntil(lambda: all(one in bay.bench.store.marks() for one in serials))
    settled(bay, qtbot)
    marks = bay.bench.store.marks()
    assert {marks[one].mark for one in serials} == {"bad"}
    assert {marks[one].why for one in serials} == {"buzz in all of them"}
    assert bay.words.happened == "3 units were found bad."
    assert bay.side.flips.selected == ()  # a unit that moved in the list is no longer selected


def test_several_marks_are_kept_all_or_none(bay: LimitsBay) -> None:
    before = bay.bench.store.marks()
    with pytest.raises(BadInputError, match="no such unit"):
        bay.bench.store.mark_units(("T4-W31-0001", "T4-W31-9999"), "good", by="a", why="heard")
    assert bay.bench.store.marks() == before
