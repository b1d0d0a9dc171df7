"""Choices have keys, tell only what a person chose, and let the wheel pass."""

from PySide6.QtCore import QPoint, QPointF, Qt
from PySide6.QtGui import QWheelEvent
from PySide6.QtTest import QTest
from PySide6.QtWidgets import QApplication
from pytestqt.qtbot import QtBot

from app.desktop.controls.check import Check
from app.desktop.controls.choice import Choice

OPTIONS = [("sweep", "log sweep"), ("noise", "noise"), ("tones", "tones")]


def test_only_a_person_is_heard(qtbot: QtBot) -> None:
    choice = Choice("Kind", OPTIONS)
    qtbot.addWidget(choice)
    heard: list[str] = []
    choice.chosen.connect(heard.append)
    choice.set_key("noise")
    assert (choice.key(), heard) == ("noise", [])
    QTest.keyClick(choice, Qt.Key.Key_Down)
    assert (choice.key(), heard) == ("tones", ["tones"])
    assert choice.accessibleName() == "Kind tones"


def test_other_options_keep_what_is_still_there(qtbot: QtBot) -> None:
    choice = Choice("Kind", OPTIONS)
    qtbot.addWidget(choice)
    choice.set_key("noise")
    choice.set_options([("file", "file"), ("noise", "pink noise")])
    assert (choice.key(), choice.currentText()) == ("noise", "pink noise")
    choice.set_options([("file", "file")])
    assert choice.key() == "file"
    choice.set_options([])
    assert choice.key() == ""


def test_an_unknown_key_leaves_none_chosen(qtbot: QtBot) -> None:
    choice = Choice("Kind", OPTIONS)
    qtbot.addWidget(choice)
    choice.set_key("what is that")
    assert choice.key() == ""


def test_the_wheel_changes_nothing_in_passing(qtbot: QtBot) -> None:
    choice = Choice("Kind", OPTIONS)
    qtbot.addWidget(choice)
    choice.show()
    choice.setFocus()
    turn = QWheelEvent(
        QPointF(5, 5),
        QPointF(5, 5),
        QPoint(0, -120),
        QPoint(0, -120),
        Qt.MouseButton.NoButton,
        Qt.KeyboardModifier.NoModifier,
        Qt.ScrollPhase.NoScrollPhase,
        False,
    )
    QApplication.sendEvent(choice, turn)
    assert choice.key() == "sweep"


def test_a_tick_is_set_by_the_space_bar_and_large_enough_to_hit(qtbot: QtBot) -> None:
    check = Check("Export each take")
    qtbot.addWidget(check)
    check.show()
    heard: list[bool] = []
    check.toggled.connect(heard.append)
    QTest.keyClick(check, Qt.Key.Key_Space)
    assert heard == [True]
    assert check.height() >= 26
