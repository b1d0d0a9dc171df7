"""A point under the hand: margins follow, the bench hears of it once, undo sets it back."""

import numpy as np
import pytest
from PySide6.QtCore import QEvent, QObject, QRect, Qt
from PySide6.QtWidgets import QApplication, QWidget
from pytestqt.qtbot import QtBot

from app.desktop.bays.limits import LimitsBay
from app.desktop.panels.limits.left_column import Tool
from app.desktop.plots.frequency_paint import FLAG_HEIGHT
from app.desktop.presenters.limits_point import Chosen
from app.procedure.edit_masks import points_of
from tests.app.desktop.limits.seen_bay import drag, let_go, place, point_at, settled
from tests.app.desktop.plots import hand
from tests.app.measure.trial_store import PROCEDURE


def margin_row(bay: LimitsBay, title: str) -> str:
    row = next(one for one in bay.column.masks.table.rows if one.cells[0] == title)
    return row.cells[2]


def upper(bay: LimitsBay) -> tuple[tuple[float, float], ...]:
    return points_of(bay.bench.procedure.procedure.masks["level"], side="upper")


def test_the_margin_follows_a_dragged_point_and_undo_sets_it_back(
    qtbot: QtBot, bay: LimitsBay
) -> None:
    assert margin_row(bay, "Level") == "2.1 dB"
    drag(bay, "upper", 1, hz=1000, value=1.2)
    settled(bay, qtbot)
    # Still under the hand: shown, judged, and not yet an edit.
    assert bay.bench.procedure.procedure is PROCEDURE
    assert margin_row(bay, "Level") == "0.3 dB"  # 1.2 dB less what 95 % keep below, 0.905 dB
    assert bay.column.point.first.text() == "1.2"
    let_go(bay, hz=1000, value=1.2)
    assert upper(bay) == ((100.0, 3.0), (1000.0, 1.2), (10_000.0, 3.0))
    assert bay.bench.undo_stack.count() == 1
    bay.bench.undo_stack.undo()
    settled(bay, qtbot)
    assert upper(bay) == PROCEDURE.masks["level"].upper
    assert margin_row(bay, "Level") == "2.1 dB"
    assert bay.column.point.first.text() == "3.0"
    bay.bench.undo_stack.redo()
    assert upper(bay)[1] == (1000.0, 1.2)


def test_a_drag_that_stops_units_says_which(qtbot: QtBot, bay: LimitsBay) -> None:
    drag(bay, "upper", 1, hz=1000, value=0.7)
    settled(bay, qtbot)
    # 0018 and 0019 (0.8, 0.9 dB) are stopped; 0020 was stopped by its resonance already.
    assert [row.serial for row in bay.side.flips.rows] == ["0019", "0018"]
    assert bay.side.yields.now.text() == "95 %"
    assert bay.side.yields.draft.text() == "85 %"
    assert bay.words.happened == (
        "Against the limits as opened, the draft stops 1 more good unit, 1 uninspected."
    )
    assert "0019" in bay.words.next
    assert bay.units.note.words == ("upper at 1 kHz: 0.7 dB", "was 3.0 dB; stops 2 units")
    assert bay.units.dots.scene.counts == (3, 0, 17)


def test_two_drags_are_two_edits_and_arrows_on_one_point_are_one(bay: LimitsBay) -> None:
    for value in (2.0, 2.5):
        drag(bay, "upper", 1, hz=1000, value=value)
        let_go(bay, hz=1000, value=value)
    assert bay.bench.undo_stack.count() == 2
    for _ in range(3):
        hand.key(bay.units.plot.canvas, Qt.Key.Key_Down)
    assert bay.bench.undo_stack.count() == 3
    assert upper(bay)[1][1] < 2.5
    hand.key(bay.units.plot.canvas, Qt.Key.Key_Right)
    assert upper(bay)[1][0] == 1060.0  # the next of R40
    bay.bench.undo_stack.undo()
    assert upper(bay)[1] == (1000.0, 2.5)


def test_arrows_move_by_steps_and_with_shift_by_ten(bay: LimitsBay) -> None:
    bay.draft.choose_point(Chosen(side="upper", index=1))
    canvas = bay.units.plot.canvas
    hand.key(canvas, Qt.Key.Key_Down)
    assert upper(bay)[1] == (1000.0, 2.9)
    hand.key(canvas, Qt.Key.Key_Up, Qt.KeyboardModifier.ShiftModifier)
    assert upper(bay)[1] == (1000.0, 3.9)


def test_limits_do_not_cross_under_the_hand(bay: LimitsBay) -> None:
    drag(bay, "upper", 1, hz=1000, value=-3.8)
    let_go(bay, hz=1000, value=-3.8)
    assert upper(bay)[1] == (1000.0, -3.0)


def test_a_double_click_on_a_limit_adds_a_point_there(bay: LimitsBay) -> None:
    at = place(bay, hz=305.0, value=3.0)
    hand.double_click(bay.units.plot.canvas, at.x, at.y)
    # ISO 3, R40: 300 and 315.
    assert upper(bay)[1] == (300.0, 3.0)
    assert bay.draft.chosen == Chosen(side="upper", index=1)
    assert bay.column.point.at.text() == "300"


def test_keys_add_a_point_at_the_cursor_and_remove_it(bay: LimitsBay) -> None:
    bay.units.plot.mark(2000.0)
    bay.actions_table.of("add_point").trigger()
    assert upper(bay)[2] == (2000.0, 3.0)
    bay.actions_table.of("remove_point").trigger()
    assert upper(bay) == PROCEDURE.masks["level"].upper


def test_without_snapping_a_point_stays_where_the_hand_left_it(bay: LimitsBay) -> None:
    bay.column.point.snap.set_key("")
    bay.column.point.series_chosen.emit(None)
    drag(bay, "upper", 1, hz=1234.0, value=2.0)
    let_go(bay, hz=1234.0, value=2.0)
    assert upper(bay)[1][0] == pytest.approx(1234.0, rel=5e-3)


def test_the_spread_is_that_of_the_units(bay: LimitsBay) -> None:
    spread = bay.units.plot.scene.spread
    assert spread is not None
    middle = np.searchsorted(spread.hz, 1000.0)
    assert spread.low[middle] == pytest.approx(-0.9)
    assert spread.high[middle] == pytest.approx(1.0)
    assert spread.name == "20 units"


def test_the_hand_is_where_the_point_is(bay: LimitsBay) -> None:
    at = point_at(bay, "lower", 0)
    hand.press(bay.units.plot.canvas, at.x, at.y)
    assert bay.draft.chosen == Chosen(side="lower", index=0)
    hand.release(bay.units.plot.canvas, at.x, at.y)
    assert bay.bench.undo_stack.count() == 0  # a press alone is no edit


def test_a_press_beside_all_points_lets_the_chosen_one_go(bay: LimitsBay) -> None:
    bay.draft.choose_point(Chosen(side="upper", index=1))
    at = place(bay, hz=300.0, value=0.0)
    hand.press(bay.units.plot.canvas, at.x, at.y)
    hand.release(bay.units.plot.canvas, at.x, at.y)
    assert bay.draft.chosen is None
    assert bay.column.point.at.text() == ""


def test_a_hand_that_never_rests_is_still_answered(qtbot: QtBot, bay: LimitsBay) -> None:
    answers: list[str] = []
    bay.keeper.judged.connect(lambda: answers.append(margin_row(bay, "Level")))
    canvas = bay.units.plot.canvas
    start = point_at(bay, "upper", 1)
    hand.press(canvas, start.x, start.y)

    def moved_and_answered() -> bool:
        hand.move(canvas, start.x, start.y + 5 + len(answers))
        return len(answers) >= 3

    qtbot.waitUntil(moved_and_answered, timeout=10_000)
    hand.release(canvas, start.x, start.y)
    settled(bay, qtbot)


def test_esc_leaves_a_tool(bay: LimitsBay) -> None:
    bay.actions_table.of("propose_mask").trigger()
    bay.actions_table.of("stop").setShortcuts([])  # the window's filter has Esc while it sounds
    hand.key(bay.column.propose.fields["rate"].box, Qt.Key.Key_Escape)
    assert bay.column.tool is Tool.POINT


def test_the_note_over_a_dragged_point_leaves_the_frequency_flag_readable(
    qtbot: QtBot, bay: LimitsBay
) -> None:
    at = point_at(bay, "upper", 1)
    hand.hover(bay.units.plot.canvas, at.x, at.y)
    drag(bay, "upper", 1, hz=1000, value=-2.0)  # far below, so that the note hangs above it
    settled(bay, qtbot)
    canvas = bay.units.plot.canvas
    frame = canvas.frame()
    assert bay.units.note.words
    assert bay.units.plot.cursor_hz is not None
    top = QRect(0, 0, canvas.width(), round(frame.top + FLAG_HEIGHT))
    with_note = canvas.grab(top).toImage()
    bay.units.note.set_visible(shown=False)
    assert with_note == canvas.grab(top).toImage()
    bay.units.plot.mark(None)
    assert with_note != canvas.grab(top).toImage()  # there was a flag


def test_other_words_of_the_note_have_nothing_painted_anew_but_themselves(
    qtbot: QtBot, bay: LimitsBay
) -> None:
    drag(bay, "upper", 1, hz=1000, value=0.7)
    settled(bay, qtbot)
    QApplication.processEvents()
    canvas, note = bay.units.plot.canvas, bay.units.note
    painted: list[QObject] = []

    class Watch(QObject):
        def eventFilter(self, watched: QObject, event: QEvent) -> bool:  # noqa: N802
            if event.type() == QEvent.Type.Paint:
                painted.append(watched)
            return False

    watch = Watch()
    for one in (canvas, *canvas.findChildren(QWidget)):
        one.installEventFilter(watch)
    note.say((note.words[0], "was 3.0 dB; stops 3 units"), at=(1000.0, 0.7))
    qtbot.waitUntil(lambda: bool(painted))
    assert canvas not in painted
