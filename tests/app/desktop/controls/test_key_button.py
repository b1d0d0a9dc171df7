"""A button is its action: words, key, whether it can be pressed, and what happens then."""

import pytest
from PySide6.QtCore import Qt
from PySide6.QtGui import QAction, QKeySequence
from PySide6.QtTest import QTest
from pytestqt.qtbot import QtBot

from app.desktop.controls.key_button import KeyButton
from app.desktop.text import key_words


@pytest.mark.usefixtures("qapp")
@pytest.mark.parametrize(
    ("keys", "words"),
    [("Ctrl+S", "Ctrl S"), ("Return", "Enter"), ("Space", "Space"), ("Esc", "Esc"), ("C", "C")],
)
def test_caps(keys: str, words: str) -> None:
    assert key_words(QKeySequence(keys)) == words


def test_it_follows_and_triggers_its_action(qtbot: QtBot) -> None:
    action = QAction("Play")
    action.setShortcut(QKeySequence("Space"))
    pressed: list[bool] = []
    action.triggered.connect(lambda: pressed.append(True))
    button = KeyButton(action, primary=True)
    qtbot.addWidget(button)
    button.show()
    assert (button.text(), button.key, button.height()) == ("Play", "Space", 36)
    QTest.mouseClick(button, Qt.MouseButton.LeftButton)
    assert pressed == [True]
    action.setText("Playing")
    action.setEnabled(False)
    assert button.text() == "Playing"
    assert not button.isEnabled()
    QTest.mouseClick(button, Qt.MouseButton.LeftButton)
    assert pressed == [True]


def test_its_own_words_stay_while_the_action_changes(qtbot: QtBot) -> None:
    action = QAction("Calibrate")
    button = KeyButton(action, text="Keep", key="Enter")
    qtbot.addWidget(button)
    action.setText("Calibrate again")
    assert (button.text(), button.accessibleName()) == ("Keep", "Keep Enter")
    button.set_text(None)
    assert button.text() == "Calibrate again"


def test_another_action_takes_the_place_of_the_first(qtbot: QtBot) -> None:
    first, second = QAction("First"), QAction("Second")
    button = KeyButton(first)
    qtbot.addWidget(button)
    button.set_action(second)
    first.setEnabled(False)
    assert button.isEnabled()
    second.setText("The second")
    assert button.text() == "The second"


def test_it_is_never_narrower_than_its_words(qtbot: QtBot) -> None:
    button = KeyButton(QAction("Make this the reference take"))
    qtbot.addWidget(button)
    assert button.minimumSizeHint().width() == button.sizeHint().width()
    assert button.minimumSizeHint().height() == 30
