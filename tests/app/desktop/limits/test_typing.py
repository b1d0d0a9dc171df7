"""Figures typed into fields and table: plot and table stay in step, refusals stay beside."""

import pytest
from PySide6.QtCore import QEvent, Qt
from PySide6.QtTest import QTest
from PySide6.QtWidgets import QApplication, QLineEdit
from pytestqt.qtbot import QtBot

from app.desktop.bays.limits import LimitsBay
from app.desktop.controls.field import Field
from app.desktop.panels.limits.left_column import Tool
from app.desktop.presenters.limits_point import Chosen
from app.procedure.edit_masks import points_of
from app.procedure.mask_schema import Mask
from tests.app.desktop.limits.seen_bay import drag, let_go, settled
from tests.app.measure.trial_store import PROCEDURE


def mask_of(bay: LimitsBay, name: str = "level") -> Mask:
    return bay.bench.procedure.procedure.masks[name]


def type_into(field: Field, text: str) -> None:
    field.setFocus()
    field.box.selectAll()
    QTest.keyClicks(field.box, text)
    QTest.keyClick(field.box, Qt.Key.Key_Return)


def type_into_cell(bay: LimitsBay, row: int, column: int, text: str) -> None:
    view = bay.column.points.view
    index = view.model().index(row, column)
    QApplication.sendPostedEvents(None, QEvent.Type.DeferredDelete)  # the editor before
    view.setCurrentIndex(index)
    view.edit(index)
    editor = view.viewport().findChild(QLineEdit)
    assert isinstance(editor, QLineEdit)
    editor.selectAll()
    QTest.keyClicks(editor, text)
    QTest.keyClick(editor, Qt.Key.Key_Return)
    QApplication.processEvents()  # a cell is committed once its editor has had the key


def test_a_typed_limit_moves_the_point_in_plot_and_table(qtbot: QtBot, bay: LimitsBay) -> None:
    bay.draft.choose_point(Chosen(side="upper", index=1))
    type_into(bay.column.point.first, "1,5")
    assert mask_of(bay).upper == ((100.0, 3.0), (1000.0, 1.5), (10_000.0, 3.0))
    assert bay.units.plot.masks[0].values[1] == 1.5
    assert bay.column.points.rows[1].cells == ("upper", "1000", "1.5")
    settled(bay, qtbot)
    bay.bench.undo_stack.undo()
    assert bay.column.point.first.text() == "3.0"


def test_a_typed_frequency_moves_it_too(bay: LimitsBay) -> None:
    bay.draft.choose_point(Chosen(side="upper", index=1))
    type_into(bay.column.point.at, "1.2k")
    assert points_of(mask_of(bay), side="upper")[1] == (1200.0, 3.0)


@pytest.mark.parametrize(
    ("which", "text", "said"),
    [
        ("at", "100", "Not above the point before: given 100, allowed above 100 Hz."),
        ("at", "x", "Not a number: given x."),
        ("first", "-9", "Lower limit above the upper at 1000 Hz: given -3 above -9."),
        ("first", "", "Not a number: given nothing."),
        ("guard", "2.5", "Outside: given 2.5, allowed 0 to 2."),
    ],
)
def test_what_a_mask_cannot_take_is_refused_beside_its_field(
    bay: LimitsBay, which: str, text: str, said: str
) -> None:
    bay.draft.choose_point(Chosen(side="upper", index=1))
    field: Field = getattr(bay.column.point, which)
    if text:
        type_into(field, text)
    else:
        field.box.clear()
        QTest.keyClick(field.box, Qt.Key.Key_Return)
    assert field.refusal == said
    assert field.text() == text
    assert bay.bench.procedure.procedure is PROCEDURE
    # The next good figure takes the refusal away.
    type_into(bay.column.point.first, "2")
    assert not bay.column.point.first.is_refused


def test_a_cell_of_the_table_is_an_edit(bay: LimitsBay) -> None:
    bay.actions_table.of("table").trigger()
    assert bay.column.tool is Tool.TABLE
    type_into_cell(bay, 1, 2, "2.2")
    assert points_of(mask_of(bay), side="upper")[1] == (1000.0, 2.2)
    assert bay.draft.chosen == Chosen(side="upper", index=1)
    type_into_cell(bay, 4, 1, "8000")
    assert points_of(mask_of(bay), side="lower")[1] == (8000.0, -3.0)


def test_a_refused_cell_keeps_its_text_and_says_why(bay: LimitsBay) -> None:
    bay.actions_table.of("table").trigger()
    type_into_cell(bay, 1, 1, "50")
    table = bay.column.points
    assert table.refusal == "Not above the point before: given 50, allowed above 100 Hz."
    assert table.view.model().index(1, 1).data() == "50"
    assert bay.bench.procedure.procedure is PROCEDURE
    type_into_cell(bay, 1, 1, "900")
    assert table.refusal == ""
    assert table.view.model().index(1, 1).data() == "900"


def test_the_table_follows_the_hand(bay: LimitsBay) -> None:
    bay.actions_table.of("table").trigger()
    drag(bay, "upper", 1, hz=1000, value=1.0)
    assert bay.column.points.rows[1].cells[2] == "1.0"
    let_go(bay, hz=1000, value=1.0)
    assert bay.column.points.view.currentIndex().row() == 1


def test_limits_of_a_number_are_typed_and_can_go(qtbot: QtBot, bay: LimitsBay) -> None:
    bay.draft.choose("resonance")
    settled(bay, qtbot)
    assert bay.units.plot.isHidden()
    assert bay.units.values.scene.points.y.size == 20
    type_into(bay.column.point.first, "82")
    settled(bay, qtbot)
    assert mask_of(bay, "resonance").upper == 82.0
    assert bay.side.yields.draft.text() == "100 %"
    bay.column.point.second.box.clear()
    QTest.keyClick(bay.column.point.second.box, Qt.Key.Key_Return)
    assert mask_of(bay, "resonance").lower is None
    bay.column.point.first.box.clear()
    QTest.keyClick(bay.column.point.first.box, Qt.Key.Key_Return)
    assert bay.column.point.first.refusal == "The only limit stays."


def test_the_whole_mask_is_offset(bay: LimitsBay) -> None:
    bay.actions_table.of("offset_mask").trigger()
    type_into(bay.column.offset.upper_by, "+0.5")
    assert bay.column.tool is Tool.POINT
    assert {value for _, value in points_of(mask_of(bay), side="upper")} == {3.5}
    assert bay.bench.undo_stack.undoText() == "Offset of Level"


def test_an_offset_that_crosses_is_refused(bay: LimitsBay) -> None:
    bay.actions_table.of("offset_mask").trigger()
    type_into(bay.column.offset.upper_by, "-7")
    assert bay.column.tool is Tool.OFFSET
    assert bay.column.offset.upper_by.refusal.startswith("Lower limit above the upper")


def test_limits_are_proposed_from_the_units(qtbot: QtBot, bay: LimitsBay) -> None:
    bay.actions_table.of("propose_mask").trigger()
    panel = bay.column.propose
    assert panel.hint.text().startswith("From 19 units; 1 found bad")
    choose_way(bay, "sigma")
    type_into(panel.fields["k"], "0")
    settled(bay, qtbot)
    assert panel.fields["k"].refusal == "Outside: given 0, allowed above 0 to 20."
    type_into(panel.fields["k"], "3")
    settled(bay, qtbot)
    # 19 units from -0.9 to 0.9 dB: three deviations are 1.69 dB, rounded outward.
    assert {value for _, value in points_of(mask_of(bay), side="upper")} == {1.7}
    assert bay.column.tool is Tool.POINT
    assert bay.words.happened == (
        "Level drawn from 19 units, k = 3.00; held out, 19 of 19 conform (82.4 to 100 %)."
    )
    bay.bench.undo_stack.undo()
    assert bay.bench.procedure.procedure is PROCEDURE


def test_a_share_of_good_units_is_what_limits_may_stop(qtbot: QtBot, bay: LimitsBay) -> None:
    bay.actions_table.of("propose_mask").trigger()
    panel = bay.column.propose
    assert panel.way.key() == "unit_rate"
    assert panel.fields["rate"].isVisible()
    assert not panel.fields["k"].isVisible()
    type_into(panel.fields["rate"], "60")
    settled(bay, qtbot)
    assert panel.fields["rate"].refusal == "Outside: given 60, allowed 0.001 to 50 %."
    panel.robust.setChecked(True)
    panel.floating.set_key("shape")
    panel.fields["floor"].set_text("0.1")  # but in level, which is taken out, they are alike
    type_into(panel.fields["rate"], "1")
    settled(bay, qtbot)
    mask = mask_of(bay)
    assert mask.align == "level"
    assert bay.words.happened.startswith("Level drawn from 19 units")


def choose_way(bay: LimitsBay, key: str) -> None:
    way = bay.column.propose.way
    way.set_key(key)
    way.chosen.emit(key)
