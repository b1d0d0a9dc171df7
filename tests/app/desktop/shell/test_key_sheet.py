"""The sheet of keys: every action can be found by a word, and done from there."""

from PySide6.QtCore import Qt
from PySide6.QtTest import QTest

from app.desktop.actions import ACTIONS, ActionSpec
from app.desktop.key_lines import lines
from app.desktop.key_sheet import KeySheet
from app.desktop.window import MainWindow


def listed(window: MainWindow, *, words: str = "", bay: str | None = None) -> list[ActionSpec]:
    found = lines(window.actions_table, words=words, bay=bay, own=window.own_keys)
    return [line.spec for line in found]


def sheet_of(window: MainWindow) -> KeySheet:
    (found,) = window.findChildren(KeySheet)
    assert isinstance(found, KeySheet)
    return found


def open_by(window: MainWindow, key: Qt.Key, *, control: bool = False) -> KeySheet:
    held = Qt.KeyboardModifier.ControlModifier if control else Qt.KeyboardModifier.NoModifier
    QTest.keyClick(window, key, held)
    return sheet_of(window)


def test_every_action_is_found_by_its_own_words(window: MainWindow) -> None:
    lost = [spec.id for spec in ACTIONS if spec not in listed(window, words=spec.text)]
    assert not lost


def test_a_bay_lists_its_own_keys_first_and_none_of_others(window: MainWindow) -> None:
    found = listed(window, bay="limits")
    assert found[0].bays
    assert all(not spec.bays or "limits" in spec.bays for spec in found)
    assert "play" not in {spec.id for spec in found}


def test_an_action_is_found_by_its_key(window: MainWindow) -> None:
    (first, *_) = listed(window, words="ctrl z")
    assert first.id == "undo"


def test_f1_lists_the_keys_of_the_bay_and_escape_leaves(window: MainWindow) -> None:
    sheet = open_by(window, Qt.Key.Key_F1)
    assert sheet.windowTitle() == "Keys in Measure"
    QTest.keyClick(sheet.field, Qt.Key.Key_Escape)
    assert not sheet.isVisible()


def test_typing_and_enter_does_what_was_found(window: MainWindow) -> None:
    sheet = open_by(window, Qt.Key.Key_K, control=True)
    QTest.keyClicks(sheet.field, "records")
    QTest.keyClick(sheet.field, Qt.Key.Key_Return)
    assert window.settings.bay == "records"


def test_down_chooses_the_next(window: MainWindow) -> None:
    sheet = open_by(window, Qt.Key.Key_K, control=True)
    QTest.keyClicks(sheet.field, "undo")
    before = sheet.list.currentRow()
    QTest.keyClick(sheet.field, Qt.Key.Key_Up)
    assert sheet.list.currentRow() == before == 0
    sheet.field.clear()
    QTest.keyClick(sheet.field, Qt.Key.Key_Down)
    assert sheet.list.currentRow() == 1


def test_what_does_not_hold_here_does_nothing(window: MainWindow) -> None:
    acted: list[bool] = []
    window.enter("records")
    window.actions_table.of("compare").triggered.connect(acted.append)
    window.enter("measure")
    sheet = open_by(window, Qt.Key.Key_K, control=True)
    QTest.keyClicks(sheet.field, "compare")
    QTest.keyClick(sheet.field, Qt.Key.Key_Return)
    assert sheet.isVisible()
    assert not acted


def test_letters_are_switched_in_the_sheet(window: MainWindow) -> None:
    sheet = open_by(window, Qt.Key.Key_F1)
    sheet.letters.click()
    assert not window.settings.letters
    assert not window.actions_table.of("proportions").shortcuts()
