"""A field keeps what was typed: accepted, refused, stepped, and told to who cannot see it."""

from collections.abc import Callable

import pytest
from PySide6.QtCore import Qt
from PySide6.QtGui import QAction, QKeySequence
from PySide6.QtTest import QTest
from PySide6.QtWidgets import QVBoxLayout, QWidget
from pytestqt.qtbot import QtBot

from app.desktop.controls.field import Field
from app.desktop.controls.field_row import FieldRow
from app.desktop.palette import DARK, LIGHT, qpalette
from app.desktop.style import DustcapStyle

Show = Callable[..., None]


@pytest.fixture
def show(qtbot: QtBot) -> Show:
    windows = []  # whatever is shown lives as long as its test

    def shown(*fields: QWidget) -> None:
        window = QWidget()
        lines = QVBoxLayout(window)
        for field in fields:
            lines.addWidget(field)
        lines.addStretch()
        window.resize(252, 300)
        qtbot.addWidget(window)
        windows.append(window)
        window.show()
        window.activateWindow()
        qtbot.waitUntil(window.isActiveWindow)

    return shown


def committed(field: Field) -> list[str]:
    heard: list[str] = []
    field.committed.connect(heard.append)
    return heard


def test_enter_commits_also_what_did_not_change(show: Show) -> None:
    field = Field("Serial", text="0417", numeric=False)
    show(field)
    heard = committed(field)
    QTest.keyClick(field.box, Qt.Key.Key_Return)
    assert heard == ["0417"]


def test_leaving_commits_only_what_changed(show: Show) -> None:
    field, other = Field("Level", text="2.83"), Field("Time")
    show(field, other)
    heard = committed(field)
    field.setFocus()
    other.setFocus()
    assert heard == []
    field.setFocus()
    field.select_all()
    QTest.keyClicks(field.box, "2.00")
    other.setFocus()
    assert heard == ["2.00"]


def test_text_that_is_put_in_tells_nobody(show: Show) -> None:
    field, other = Field("Level"), Field("Time")
    show(field, other)
    heard = committed(field)
    field.setFocus()
    field.set_text("2.83")
    other.setFocus()
    assert heard == []
    assert field.text() == "2.83"


def test_a_refusal_keeps_the_text_and_stands_under_it(qtbot: QtBot, show: Show) -> None:
    field = Field("Level", unit="V rms", text="500")
    row = FieldRow("Level", field)
    show(row)
    before = row.height()
    field.refuse("Too high: given 500 V rms, allowed 0 to 6 V rms.")
    qtbot.waitUntil(lambda: row.height() > before)
    assert field.text() == "500"
    assert "allowed 0 to 6" in field.refusal
    field.accept()
    assert field.refusal == ""
    qtbot.waitUntil(lambda: row.height() == before)


@pytest.mark.parametrize("tokens", [LIGHT, DARK])
def test_a_refused_field_has_another_edge(show: Show, tokens: object) -> None:
    field = Field("Level")
    show(field)
    field.box.setStyle(style := DustcapStyle())
    field.setPalette(qpalette(tokens))  # type: ignore[arg-type]
    middle = field.box.height() // 2

    def edge() -> str:
        return field.box.grab().toImage().pixelColor(0, middle).name().upper()

    field.clearFocus()
    field.refuse("No.")
    assert edge() == tokens.bad  # type: ignore[attr-defined]
    field.accept()
    assert edge() == tokens.edge  # type: ignore[attr-defined]
    assert style is not None


def test_the_arrow_keys_step_and_shift_steps_ten_times(show: Show) -> None:
    field = Field("Limit", text="+3.4", step=0.1)
    show(field)
    heard = committed(field)
    QTest.keyClick(field.box, Qt.Key.Key_Up)
    QTest.keyClick(field.box, Qt.Key.Key_Down, Qt.KeyboardModifier.ShiftModifier)
    assert heard == ["+3.5", "+2.5"]


def test_without_a_step_the_arrow_keys_change_nothing(show: Show) -> None:
    field = Field("Limit", text="+3.4")
    show(field)
    heard = committed(field)
    QTest.keyClick(field.box, Qt.Key.Key_Up)
    assert heard == []
    assert field.text() == "+3.4"


def test_the_accessible_name_has_label_value_and_unit(show: Show) -> None:
    field = Field("Level", unit="V rms", text="2.83")
    show(field)
    assert field.box.accessibleName() == "Level 2.83 V rms"
    QTest.keyClicks(field.box, "5")
    assert field.box.accessibleName() == "Level 2.835 V rms"
    field.refuse("Too high.")
    assert field.box.accessibleDescription() == "Too high."


def test_what_is_being_typed_is_left_alone_until_it_is_done(show: Show) -> None:
    field = Field("Level", text="2.83")
    show(field)
    heard = committed(field)
    field.setFocus()
    field.select_all()
    QTest.keyClicks(field.box, "1")
    field.set_text("2.83")  # as a panel does that shows its state afresh
    QTest.keyClicks(field.box, ".5")
    QTest.keyClick(field.box, Qt.Key.Key_Return)
    assert heard == ["1.5"]
    field.set_text("1.50")
    assert field.text() == "1.50"


def test_enter_ends_the_text_also_where_the_window_has_an_action_on_it(show: Show) -> None:
    field = Field("Level", text="2.83")
    show(field)
    heard = committed(field)
    window = field.window()
    action = QAction("Keep", window)
    action.setShortcut(QKeySequence("Return"))
    kept: list[bool] = []
    action.triggered.connect(kept.append)
    window.addAction(action)
    window.activateWindow()
    field.setFocus()
    field.select_all()
    QTest.keyClicks(field.box, "1.5")
    QTest.keyClick(field.box, Qt.Key.Key_Return)
    assert heard == ["1.5"]
    assert kept == []
