"""Esc stops what sounds, wherever the focus is; letters and the space bar stay in text fields."""

from functools import partial

from PySide6.QtCore import QEvent, QObject, Qt
from PySide6.QtGui import QAction
from PySide6.QtTest import QTest
from PySide6.QtWidgets import QApplication, QDialog, QLineEdit, QPushButton, QVBoxLayout, QWidget
from pytestqt.qtbot import QtBot

from app.desktop.bench import Bench
from app.desktop.run_state import RunState
from app.desktop.stop_keys import Sounding, StopKeys
from app.desktop.window import MainWindow
from app.measure.events import State
from tests.app.desktop.shell.placeholder import Placeholder


def field_of(window: MainWindow) -> QLineEdit:
    assert isinstance(window.bay, Placeholder)
    return window.bay.field


def press(key: Qt.Key) -> None:
    target = QApplication.focusWidget() or QApplication.activeWindow()
    assert isinstance(target, QWidget)
    QTest.keyClick(target, key)


def begin_to_sound(qtbot: QtBot, bench: Bench) -> None:
    def sounding(run: RunState) -> bool:
        return run.is_sounding and run.played_s > 0.05

    with qtbot.waitSignal(bench.run_changed, timeout=20_000, check_params_cb=sounding):
        bench.play()


def test_space_plays_and_space_stops(qtbot: QtBot, window: MainWindow, bench: Bench) -> None:
    window.setFocus()
    press(Qt.Key.Key_Space)
    qtbot.waitUntil(lambda: bench.run.played_s > 0.05, timeout=20_000)
    with qtbot.waitSignal(bench.run_stopped, timeout=5_000):
        press(Qt.Key.Key_Space)
    assert bench.store.count() == 0


def test_escape_stops_from_inside_a_text_field(
    qtbot: QtBot, window: MainWindow, bench: Bench
) -> None:
    begin_to_sound(qtbot, bench)
    field_of(window).setFocus()
    with qtbot.waitSignal(bench.run_stopped, timeout=5_000):
        press(Qt.Key.Key_Escape)
    # One block of the rig in real time is a thirtieth of a second.
    assert bench.run.played_s < bench.run.whole_s
    assert bench.run.phase is State.STOPPED


def test_escape_stops_from_inside_a_dialog_and_leaves_it_open(
    qtbot: QtBot, window: MainWindow, bench: Bench
) -> None:
    begin_to_sound(qtbot, bench)
    box = QDialog(window)
    field = QLineEdit(box)
    QVBoxLayout(box).addWidget(field)
    box.open()
    field.setFocus()
    with qtbot.waitSignal(bench.run_stopped, timeout=5_000):
        QTest.keyClick(field, Qt.Key.Key_Escape)
    assert box.isVisible()
    QTest.keyClick(field, Qt.Key.Key_Escape)  # silent: it leaves, as everywhere
    assert not box.isVisible()


def test_a_click_on_stop_stops(qtbot: QtBot, window: MainWindow, bench: Bench) -> None:
    begin_to_sound(qtbot, bench)
    with qtbot.waitSignal(bench.run_stopped, timeout=5_000):
        QTest.mouseClick(window.strip.stop, Qt.MouseButton.LeftButton)


def test_letters_and_space_are_typed_into_a_field(window: MainWindow, bench: Bench) -> None:
    shared: list[str] = []
    window.actions_table.of("proportions").triggered.connect(lambda: shared.append("I"))
    field_of(window).setFocus()
    QTest.keyClicks(field_of(window), "i v")
    assert field_of(window).text() == "i v"
    assert not shared
    assert not bench.run.is_active
    window.setFocus()
    press(Qt.Key.Key_I)
    assert shared == ["I"]


def test_letters_can_be_switched_off(window: MainWindow) -> None:
    shared: list[str] = []
    window.actions_table.of("proportions").triggered.connect(lambda: shared.append("I"))
    window.use_letters(letters=False)
    window.setFocus()
    press(Qt.Key.Key_I)
    assert not shared
    window.use_letters(letters=True)
    press(Qt.Key.Key_I)
    assert shared == ["I"]


def test_no_letter_acts_in_line(window: MainWindow) -> None:
    acted: list[str] = []
    for action in window.findChildren(QAction):
        action.triggered.connect(partial(acted.append, action.objectName()))
    window.enter("line")
    window.setFocus()
    for letter in (Qt.Key.Key_I, Qt.Key.Key_D, Qt.Key.Key_E, Qt.Key.Key_1):
        press(letter)
    assert not acted


def test_a_button_reached_by_tab_is_pressed_by_space(window: MainWindow, bench: Bench) -> None:
    tab = window.row.tab("records")
    tab.setFocus(Qt.FocusReason.TabFocusReason)
    press(Qt.Key.Key_Space)
    assert tab.isChecked()
    assert not bench.run.is_active


def test_escape_leaves_a_field_so_that_letters_act_again(window: MainWindow) -> None:
    field_of(window).setFocus()
    press(Qt.Key.Key_Escape)
    assert not field_of(window).hasFocus()
    assert window.hasFocus()


class Counting(StopKeys):
    """Notes whose events come by."""

    def __init__(self, parent: QObject) -> None:
        silent = Sounding(is_active=lambda: False, is_sounding=lambda: False, stop=lambda: None)
        super().__init__(silent, parent)
        self.seen = set[QObject]()

    def eventFilter(self, watched: QObject, event: QEvent) -> bool:  # noqa: N802
        self.seen.add(watched)
        return super().eventFilter(watched, event)


def test_no_event_comes_by_but_while_a_take_is_made_and_of_a_button_reached_by_tab(
    window: MainWindow,
) -> None:
    keys, field = Counting(window), field_of(window)
    tab = window.row.tab("records")
    field.setText("a")
    field.setFocus()
    assert not keys.seen
    tab.setFocus(Qt.FocusReason.TabFocusReason)
    press(Qt.Key.Key_Tab)
    assert keys.seen == {tab}
    keys.seen.clear()
    keys.watch(everything=True)
    QPushButton(window)
    assert window in keys.seen
    keys.watch(everything=False)
    keys.seen.clear()
    QPushButton(window)
    assert not keys.seen
