"""The frame: bays on demand, words and actions of the one that is entered, what is remembered."""

from pathlib import Path

from PySide6.QtCore import Qt
from PySide6.QtTest import QTest
from PySide6.QtWidgets import QApplication
from pytestqt.qtbot import QtBot

from app.desktop.actions import ACTIONS, BAYS
from app.desktop.menus import make_menu
from app.desktop.palette import tokens_of
from app.desktop.presenters.bay_words import BayWords
from app.desktop.settings import Settings
from app.desktop.shell_actions import ShellActions
from app.desktop.style import dress
from app.desktop.window import MainWindow
from app.procedure.shipped import demo_chain
from app.procedure.shipped_files import CHAIN
from tests.app.desktop.shell.placeholder import Placeholder


def bay_of(window: MainWindow) -> Placeholder:
    assert isinstance(window.bay, Placeholder)
    return window.bay


def test_it_begins_in_the_bay_that_was_left_last(window: MainWindow) -> None:
    assert bay_of(window).title == "measure"  # the first time
    window.enter("limits")
    assert window.settings.bay == "limits"


def test_bays_are_made_when_first_entered_and_kept(window: MainWindow) -> None:
    assert window.stack.count() == 1
    window.enter("chain")
    first = bay_of(window)
    window.enter("records")
    window.enter("chain")
    assert bay_of(window) is first
    assert window.stack.count() == 3
    assert first.went == ["entered", "left", "entered"]


def test_control_and_a_digit_enter_a_bay(window: MainWindow) -> None:
    for number, name in enumerate(BAYS, start=1):
        QTest.keyClick(window, Qt.Key(Qt.Key.Key_0 + number), Qt.KeyboardModifier.ControlModifier)
        assert bay_of(window).title == name
        assert window.row.tab(name).isChecked()


def test_a_click_on_a_tab_enters_its_bay(window: MainWindow) -> None:
    QTest.mouseClick(window.row.tab("records"), Qt.MouseButton.LeftButton)
    assert bay_of(window).title == "records"


def test_words_of_a_bay_that_is_not_entered_wait(window: MainWindow) -> None:
    measure = bay_of(window)
    window.enter("records")
    measure.say(BayWords(happened="Elsewhere.", next="look there."))
    assert "Elsewhere." not in window.row.words.accessibleName()
    window.enter("measure")
    assert window.row.words.accessibleName() == "Elsewhere. Next: look there."


def test_the_one_button_can_be_held_back_and_given_again(window: MainWindow) -> None:
    play, button = window.actions_table.of("play"), window.row.primary
    assert button.isEnabled()
    held = BayWords(happened="Busy.", next="wait.", action="play", enabled=False)
    bay_of(window).say(held)
    assert not button.isEnabled()
    assert not play.isEnabled()
    bay_of(window).say(BayWords(happened="Done.", next="press Play.", action="play"))
    assert button.isEnabled()
    assert play.isEnabled()


def test_a_bay_may_send_a_person_to_another(window: MainWindow) -> None:
    bay_of(window).open_bay.emit("records", "a1b2")
    assert bay_of(window).title == "records"
    assert bay_of(window).shown == ["a1b2"]


def test_a_tile_opens_its_link_in_chain(window: MainWindow) -> None:
    for link in ("output", "microphone", "input"):
        QTest.mouseClick(window.strip.tile(link), Qt.MouseButton.LeftButton)
    assert bay_of(window).title == "chain"
    assert bay_of(window).shown == ["output", "microphone", "input"]


def test_a_key_that_several_bays_have_acts_in_the_one_that_is_entered(window: MainWindow) -> None:
    acted: list[str] = []
    for name in ("measure", "records", "limits"):
        window.enter(name)
        window.actions_table.of("export").triggered.connect(
            lambda _=False, name=name: acted.append(name)
        )
    window.enter("records")
    window.setFocus()
    QTest.keyClick(window, Qt.Key.Key_E)
    assert acted == ["records"]


def test_the_strip_folds_in_line_alone(window: MainWindow) -> None:
    assert window.strip.height() == 108
    window.enter("line")
    assert window.strip.height() == 48
    window.enter("measure")
    assert window.strip.height() == 108


def test_every_action_stands_in_one_menu_of_some_bay() -> None:
    titles = {spec.menu for spec in ACTIONS}
    assert titles == {"File", "Edit", "View", "Measure", "Go", "Help"}


def test_the_menu_of_a_bay_holds_what_holds_there(window: MainWindow) -> None:
    window.enter("line")
    menu = make_menu(window.actions_table, parent=window)
    listed = {
        action.objectName()
        for sub in menu.actions()
        for action in sub.menu().actions()  # type: ignore[attr-defined]  # a submenu's own action
    }
    assert listed == {spec.id for spec in ACTIONS if not spec.bays or "line" in spec.bays}


def test_place_and_bay_come_back(qtbot: QtBot, window: MainWindow, settings: Settings) -> None:
    window.resize(800, 700)  # a size that the screen of the tests has
    window.enter("limits")
    window.close()
    again = MainWindow(settings, chain=demo_chain().chain)
    qtbot.addWidget(again)
    assert (again.width(), again.height()) == (800, 700)
    assert settings.bay == "limits"


def test_the_theme_changes_while_it_is_open(qtbot: QtBot, window: MainWindow) -> None:
    app = QApplication.instance()
    assert isinstance(app, QApplication)
    dress(app, dark=False)
    qtbot.waitUntil(lambda: not tokens_of(window.strip).is_dark)
    window.actions_table.of("theme").trigger()
    qtbot.waitUntil(lambda: tokens_of(window.strip).is_dark)
    window.actions_table.of("theme").trigger()
    qtbot.waitUntil(lambda: not tokens_of(window.strip).is_dark)


def test_a_defect_is_told_in_the_row_and_the_window_lives_on(window: MainWindow) -> None:
    window.tell_defect("ValueError: no such thing")
    said = window.row.words.accessibleName()
    assert "Dustcap itself failed: ValueError: no such thing." in said
    window.enter("records")
    assert bay_of(window).title == "records"


def test_a_chain_file_is_opened_remembered_and_can_be_undone(
    qtbot: QtBot, window: MainWindow, shell: ShellActions, tmp_path: Path
) -> None:
    file = tmp_path / "other.toml"
    file.write_text(CHAIN.read_text().replace('"virtual bench"', '"another bench"'))
    shell.open_chain(file)
    qtbot.waitUntil(lambda: "another bench" in window.windowTitle())
    assert window.settings.chain == file
    window.actions_table.of("undo").trigger()
    assert "virtual bench" in window.windowTitle()
    assert window.settings.chain is None


def test_a_chain_file_that_cannot_be_read_is_refused_in_the_row(
    qtbot: QtBot, window: MainWindow, shell: ShellActions, tmp_path: Path
) -> None:
    file = tmp_path / "broken.toml"
    file.write_text("name = 3")
    shell.open_chain(file)
    qtbot.waitUntil(lambda: "broken.toml" in window.row.words.accessibleName())
    assert "virtual bench" in window.windowTitle()
