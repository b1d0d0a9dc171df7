"""Escapes are weighed against false rejects over one offset, and the least cost can be taken."""

from PySide6.QtCore import QPointF, Qt
from PySide6.QtTest import QTest
from pytestqt.qtbot import QtBot

from app.desktop.bays.limits import LimitsBay
from app.desktop.panels.limits.left_column import Tool
from app.procedure.edit_masks import offset, points_of
from tests.app.desktop.limits.seen_bay import settled
from tests.app.desktop.plots import hand


def begin(bay: LimitsBay, qtbot: QtBot) -> None:
    bay.actions_table.of("weigh").trigger()
    settled(bay, qtbot)


def test_both_mistakes_stand_over_the_offset_in_place_of_the_margins(
    qtbot: QtBot, bay: LimitsBay
) -> None:
    begin(bay, qtbot)
    assert bay.column.tool is Tool.WEIGH
    assert bay.units.weighed.isVisible()
    assert not bay.units.dots.isVisible()
    escapes, rejects, _ = bay.units.weighed.scene.lines
    assert escapes.y[0] == 0.0
    assert rejects.y[0] > 0.0  # far inward, good units are stopped
    assert escapes.y[-1] >= escapes.y[0]
    facts = {fact.name: fact for fact in bay.column.weigh.facts.facts}
    assert facts["best"].unit == "dB"
    assert "proves no more than" in bay.column.weigh.hint.text()
    canvas = bay.units.weighed.canvas
    frame = bay.units.weighed.scene.frame(canvas.size().toSizeF())
    at = QPointF(frame.px_of(-1.0), frame.top + 5)
    hand.press(canvas, at.x(), at.y())
    assert "at -1.0" in bay.units.weighed.readout_text()
    bay.column.weigh.left.emit()
    assert bay.units.dots.isVisible()


def test_the_offset_that_costs_least_is_one_edit_of_the_draft(qtbot: QtBot, bay: LimitsBay) -> None:
    begin(bay, qtbot)
    before = bay.bench.procedure.procedure.masks["level"]
    bay.column.weigh.taken.emit()
    settled(bay, qtbot)
    after = bay.bench.procedure.procedure.masks["level"]
    moved = points_of(after, side="upper")[0][1] - points_of(before, side="upper")[0][1]
    assert moved
    assert bay.bench.procedure.procedure.masks["resonance"].upper == 80.0  # not in dB
    bay.bench.undo_stack.undo()
    assert bay.bench.procedure.procedure.masks["level"] == before


def test_a_cost_that_is_none_is_refused_beside_its_field(qtbot: QtBot, bay: LimitsBay) -> None:
    begin(bay, qtbot)
    field = bay.column.weigh.fields["bad_share"]
    field.set_text("120")
    QTest.keyClick(field.box, Qt.Key.Key_Return)
    settled(bay, qtbot)
    assert field.refusal == "Outside: given 120, allowed above 0 to 100 %."


def test_without_units_there_is_nothing_to_weigh(qtbot: QtBot, empty_bay: LimitsBay) -> None:
    begin(empty_bay, qtbot)
    assert empty_bay.words.happened == "There is nothing to weigh yet."
    assert empty_bay.column.tool is Tool.POINT


def test_limits_that_move_are_weighed_anew_and_another_tool_shows_margins(
    qtbot: QtBot, bay: LimitsBay
) -> None:
    begin(bay, qtbot)
    before = bay.units.weighed.scene.lines[1].y
    bay.draft.edit(lambda mask: offset(mask, upper_by=1.0, lower_by=-1.0), text="Offset")
    settled(bay, qtbot)
    # One dB wider: good units are stopped from one dB further inward on.
    after = bay.units.weighed.scene.lines[1].y
    assert after.sum() < before.sum()
    bay.actions_table.of("propose_mask").trigger()
    assert bay.units.dots.isVisible()
    assert not bay.units.weighed.isVisible()
    bay.actions_table.of("lots").trigger()
    settled(bay, qtbot)
    begin(bay, qtbot)
    assert bay.units.weighed.isVisible()
