"""A person's own keys: set by keyboard alone, refused where somebody else has them, remembered."""

import pytest
from PySide6.QtCore import QPoint, Qt
from PySide6.QtTest import QTest
from pytestqt.qtbot import QtBot

from app.desktop.actions import ACTIONS
from app.desktop.controls.prose import Prose
from app.desktop.key_row import LINE_ROLE
from app.desktop.key_sheet import KeySheet
from app.desktop.own_keys import FIXED, OwnKeys, own_keys
from app.desktop.plots.frequency_plot import FrequencyPlot
from app.desktop.presenters.bay_words import BayWords
from app.desktop.presenters.told_keys import in_own_keys
from app.desktop.settings import Settings
from app.desktop.text import key_of
from app.desktop.window import MainWindow
from app.procedure.shipped import demo_chain
from tests.app.desktop.shell.placeholder import placeholder

SPECS = {spec.id: spec for spec in ACTIONS}
CONTROL, SHIFT = Qt.KeyboardModifier.ControlModifier, Qt.KeyboardModifier.ShiftModifier


def open_at(window: MainWindow, words: str) -> KeySheet:
    """Open the sheet by its key, and find an action in it by its words."""
    QTest.keyClick(window, Qt.Key.Key_K, CONTROL)
    sheet = next(one for one in window.findChildren(KeySheet) if one.isVisible())
    QTest.keyClicks(sheet.field, words)
    return sheet


def shortcut(window: MainWindow, action: str) -> list[str]:
    return [key.toString() for key in window.actions_table.of(action).shortcuts()]


def test_another_key_is_set_by_keyboard_alone_and_acts(window: MainWindow) -> None:
    sheet = open_at(window, "light or dark")
    QTest.keyClick(sheet.field, Qt.Key.Key_F2)
    assert "press its new key" in sheet.told.text()
    QTest.keyClick(sheet.field, Qt.Key.Key_Control)  # held first, on its way to the key
    QTest.keyClick(sheet.field, Qt.Key.Key_J, CONTROL)
    assert shortcut(window, "theme") == ["Ctrl+J"]
    assert sheet.field.text() == "light or dark"  # nothing was typed
    QTest.keyClick(sheet.field, Qt.Key.Key_Escape)
    acted: list[bool] = []
    window.actions_table.of("theme").triggered.connect(lambda: acted.append(True))
    QTest.keyClick(window, Qt.Key.Key_L, CONTROL | SHIFT)
    assert not acted
    QTest.keyClick(window, Qt.Key.Key_J, CONTROL)
    assert len(acted) == 1


def test_a_key_that_another_action_has_is_refused_with_its_name(window: MainWindow) -> None:
    sheet = open_at(window, "IEC")
    QTest.keyClick(sheet.field, Qt.Key.Key_F2)
    QTest.keyClick(sheet.field, Qt.Key.Key_T)
    assert "T is held by Show as a table in Measure and Limits" in sheet.told.text()
    assert shortcut(window, "proportions") == ["I"]
    QTest.keyClick(sheet.field, Qt.Key.Key_Y)  # it listens on
    assert shortcut(window, "proportions") == ["Y"]


def test_a_press_on_the_cap_listens_too_and_backspace_takes_ours_again(window: MainWindow) -> None:
    window.set_own_keys(OwnKeys(chosen={"theme": "Ctrl+J"}))
    sheet = open_at(window, "light or dark")
    place = sheet.list.visualItemRect(sheet.list.item(0))
    at = QPoint(sheet.list.viewport().width() - 10, place.center().y())
    QTest.mouseClick(sheet.list.viewport(), Qt.MouseButton.LeftButton, pos=at)
    assert sheet.isVisible()
    assert "Backspace takes ours again" in sheet.told.text()
    QTest.keyClick(sheet.field, Qt.Key.Key_Backspace)
    assert shortcut(window, "theme") == ["Ctrl+Shift+L"]
    assert not sheet.list.item(0).data(LINE_ROLE).ours


def test_escape_leaves_the_key_then_the_sheet(window: MainWindow) -> None:
    sheet = open_at(window, "light or dark")
    QTest.keyClick(sheet.field, Qt.Key.Key_F2)
    QTest.keyClick(sheet.field, Qt.Key.Key_Escape)
    assert sheet.isVisible()
    QTest.keyClick(sheet.field, Qt.Key.Key_Escape)
    assert not sheet.isVisible()
    assert not window.own_keys.chosen


def test_silence_keeps_its_key(window: MainWindow) -> None:
    sheet = open_at(window, "stop")
    QTest.keyClick(sheet.field, Qt.Key.Key_F2)
    assert sheet.told.text() == FIXED["stop"]
    QTest.keyClick(sheet.field, Qt.Key.Key_J, CONTROL)
    assert not window.own_keys.chosen


def test_all_as_ours_takes_every_own_key_back(window: MainWindow) -> None:
    window.set_own_keys(OwnKeys(chosen={"theme": "Ctrl+J", "undo": "Ctrl+U"}))
    sheet = open_at(window, "")
    assert sheet.ours.isEnabled()
    sheet.ours.trigger()
    assert not window.own_keys.chosen
    assert not sheet.ours.isEnabled()


def test_own_keys_are_there_the_next_time(
    qtbot: QtBot, window: MainWindow, settings: Settings
) -> None:
    window.set_own_keys(OwnKeys(chosen={"bay.records": "Alt+5"}))
    window.leave()
    again = MainWindow(settings, chain=demo_chain().chain, make=placeholder)
    qtbot.addWidget(again)
    assert key_of(again.shared.of("bay.records")) == "Alt 5"
    assert again.row.tab("records").toolTip() == "Alt 5"


@pytest.mark.parametrize(
    ("action", "key", "said"),
    [
        ("undo", "Esc", "kept for silence"),
        ("undo", "Left", "needed in fields and plots"),
        ("undo", "J", "what a scanner types in Line"),
        ("undo", "Shift+J", "what a scanner types in Line"),
        ("undo", "Ctrl+Y", "held by Redo"),
        ("intervals", "Ctrl+Z", "held by Undo"),
        ("calibrate", "L", "held by Check levels in Chain"),
        ("calibrate", "U", ""),  # Show intervals holds in another bay
        ("intervals", "U", ""),
        ("play", "Space", ""),
    ],
)
def test_what_may_be_a_key(action: str, key: str, said: str) -> None:
    told = OwnKeys().why_not(SPECS[action], key)
    assert said in told
    assert bool(told) == bool(said)


def test_ours_is_refused_while_another_has_it() -> None:
    own = OwnKeys(chosen={"theme": "Ctrl+J", "undo": "Ctrl+Shift+L"})
    assert "held by Undo" in own.why_not_ours(SPECS["theme"])


def test_two_that_changed_places_are_remembered_and_what_cannot_be_is_forgotten() -> None:
    swapped = {"undo": "Ctrl+Y", "redo": "Ctrl+Z"}
    assert dict(own_keys(swapped).chosen) == swapped
    # Without its partner a key would be on two actions; unknown ids and keys are of no use.
    assert not own_keys({"undo": "Ctrl+Y", "gone": "Ctrl+J", "theme": ""}).chosen


def test_single_letters_switched_off_spare_none_of_a_persons_own() -> None:
    own = OwnKeys(chosen={"proportions": "Y"})
    assert own.acting(SPECS["proportions"], letters=False) == ()
    assert own.acting(SPECS["proportions"], letters=True) == ("Y",)


def test_the_row_names_a_persons_own_keys(window: MainWindow) -> None:
    assert window.bay is not None
    window.bay.say(
        BayWords(
            happened="A take at 2.83 V is kept.",
            next="press D to derive it again, V to see more; or Chain (Ctrl 1).",
        )
    )
    swapped = {"derive_again": "V", "other_view": "D", "bay.chain": "Alt+1"}
    window.set_own_keys(OwnKeys(chosen=swapped))
    assert window.row.words.accessibleName() == (
        "A take at 2.83 V is kept. "
        "Next: press V to derive it again, D to see more; or Chain (Alt 1)."
    )


def test_hints_of_panels_name_a_persons_own_keys_and_ours_again(window: MainWindow) -> None:
    prose = Prose("This take was derived with a gate. Press D to derive it again (V).")
    plot = FrequencyPlot("Level", "dB")
    assert window.bay is not None
    for part in (prose, plot):
        part.setParent(window.bay)
        part.show()
    plot.set_hint("Press L: this unit is played at several levels. A box needs no key.")
    window.set_own_keys(OwnKeys(chosen={"derive_again": "V", "other_view": "D", "ladder": "A"}))
    assert prose.text() == "This take was derived with a gate. Press V to derive it again (D)."
    assert plot.scene.hint == "Press A: this unit is played at several levels. A box needs no key."
    prose.set_text("Press D.")
    assert prose.text() == "Press V."
    late = Prose("Press D.", parent=window.bay)
    late.show()
    assert late.text() == "Press V."
    window.set_own_keys(OwnKeys())
    assert prose.text() == "Press D."
    assert plot.scene.hint.startswith("Press L: ")


@pytest.mark.parametrize(
    ("sentence", "told"),
    [
        ("B leads back.", "Q leads back."),
        ("on demand (B)", "on demand (Q)"),
        ("A box, B or b.", "A box, B or b."),
        ("Ctrl S saves them, which A approves.", "Alt S saves them, which Z approves."),
        ("A mass to be stuck on.", "A mass to be stuck on."),
    ],
)
def test_a_letter_is_a_key_only_where_it_is_pressed_or_acts(sentence: str, told: str) -> None:
    keys = {"B": "Q", "A": "Z", "Ctrl S": "Alt S"}
    assert in_own_keys(sentence, keys) == told


def test_a_key_of_another_bay_is_named_too_where_nothing_else_has_it() -> None:
    own = OwnKeys(chosen={"set_reference": "Ctrl+J", "ladder": "Y", "check_levels": "Y"})
    assert own.renamed("line") == {"Ctrl R": "Ctrl J"}
    assert own.renamed("measure") == {"Ctrl R": "Ctrl J", "L": "Y"}
