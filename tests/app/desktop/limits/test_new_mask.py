"""Masks come and go: made from the units, named, undone."""

from PySide6.QtCore import Qt
from PySide6.QtTest import QTest
from pytestqt.qtbot import QtBot

from app.desktop.bays.limits import LimitsBay
from app.desktop.panels.limits.left_column import Tool
from tests.app.desktop.limits.seen_bay import settled


def test_a_new_mask_comes_from_the_units_and_can_be_undone(qtbot: QtBot, bay: LimitsBay) -> None:
    bay.actions_table.of("new_mask").trigger()
    panel = bay.column.new_mask
    assert bay.column.tool is Tool.NEW
    assert panel.quantity.key() == "fs_hz"  # level has a mask of its name already
    assert panel.name_field.text() == "fs_hz"
    panel.name_field.set_text("level")
    QTest.keyClick(panel.name_field.box, Qt.Key.Key_Return)
    assert panel.name_field.refusal == "There is such a mask: given level."
    panel.name_field.set_text("peak")
    QTest.keyClick(panel.name_field.box, Qt.Key.Key_Return)
    settled(bay, qtbot)
    mask = bay.bench.procedure.procedure.masks["peak"]
    # 19 units at 75 Hz that were not found bad: no spread, so the limits are where they are.
    assert (mask.quantity, mask.upper, mask.lower) == ("fs_hz", 75.0, 75.0)
    assert bay.draft.name == "peak"
    assert [row.key for row in bay.column.masks.table.rows] == ["level", "resonance", "peak"]
    bay.bench.undo_stack.undo()
    settled(bay, qtbot)
    assert list(bay.bench.procedure.procedure.masks) == ["level", "resonance"]
    assert bay.draft.name == "level"


def test_a_mask_goes_and_comes_back(qtbot: QtBot, bay: LimitsBay) -> None:
    bay.draft.choose("resonance")
    bay.actions_table.of("remove_mask").trigger()
    settled(bay, qtbot)
    assert list(bay.bench.procedure.procedure.masks) == ["level"]
    assert bay.words.happened == "Against the limits as opened, the draft passes 1 more bad unit."
    bay.bench.undo_stack.undo()
    settled(bay, qtbot)
    assert list(bay.bench.procedure.procedure.masks) == ["level", "resonance"]


def test_without_any_mask_the_bay_says_how_to_make_one(qtbot: QtBot, bay: LimitsBay) -> None:
    for _ in range(2):
        bay.actions_table.of("remove_mask").trigger()
    settled(bay, qtbot)
    assert not bay.draft.masks
    assert "press N" in bay.words.next
    assert (bay.words.action, bay.words.enabled) == ("new_mask", True)
    assert "N makes one from the stored units" in bay.units.plot.scene.hint
    assert bay.units.dots.scene.hint
    held = ("add_point", "remove_mask", "offset_mask", "propose_mask", "table")
    assert not any(bay.actions_table.of(one).isEnabled() for one in held)
    bay.actions_table.of("new_mask").trigger()
    QTest.keyClick(bay.column.new_mask.name_field.box, Qt.Key.Key_Return)
    settled(bay, qtbot)
    assert bay.draft.name == "level"
    assert len(bay.units.plot.masks) == 2
    assert not bay.units.plot.scene.hint
    assert all(bay.actions_table.of(one).isEnabled() for one in held)


def test_an_empty_store_has_nothing_to_make_a_mask_from(empty_bay: LimitsBay) -> None:
    empty_bay.actions_table.of("new_mask").trigger()
    assert empty_bay.words.happened == "There is no unit to make a mask from."


def test_without_mask_and_unit_the_plot_says_what_comes_first(
    qtbot: QtBot, empty_bay: LimitsBay
) -> None:
    empty_bay.draft.put_masks({}, text="none")
    settled(empty_bay, qtbot)
    assert "Measure one (Ctrl 2), then press N" in empty_bay.units.plot.scene.hint
    assert not empty_bay.words.enabled


def test_a_high_window_lists_the_points_of_a_curve_but_not_of_a_number(
    qtbot: QtBot, bay: LimitsBay
) -> None:
    bay.resize(1920, 916)
    assert not bay.column.points.isHidden()
    bay.draft.choose("resonance")
    settled(bay, qtbot)
    assert bay.column.points.isHidden()
    bay.draft.choose("level")
    assert not bay.column.points.isHidden()
    bay.resize(1280, 636)
    assert bay.column.points.isHidden()


def test_undo_brings_the_mask_that_it_changes_into_sight(qtbot: QtBot, bay: LimitsBay) -> None:
    bay.draft.choose("resonance")
    bay.edits._type_guard(1.0)
    bay.draft.choose("level")
    bay.bench.undo_stack.undo()
    settled(bay, qtbot)
    assert bay.draft.name == "resonance"
    assert bay.column.masks.table.key == "resonance"


def test_the_row_asks_what_a_tool_asks_and_esc_lets_the_draft_speak_again(bay: LimitsBay) -> None:
    standing = bay.words
    bay.actions_table.of("stop").setShortcuts([])  # as in the window, which hears Esc otherwise
    bay.actions_table.of("propose_mask").trigger()
    assert bay.words.happened == "What shall the limits of Level follow from?"
    assert "Esc leaves" in bay.words.next
    QTest.keyClick(bay.column.propose.fields["rate"].box, Qt.Key.Key_Escape)
    assert bay.column.tool is Tool.POINT
    assert bay.words == standing
