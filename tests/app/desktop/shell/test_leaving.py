"""What was edited and not saved is never dropped without a question; what is saved asks nothing."""

from dataclasses import replace
from pathlib import Path

import pytest
from PySide6.QtCore import Qt
from PySide6.QtTest import QTest
from PySide6.QtWidgets import QApplication
from pytestqt.qtbot import QtBot

from app.desktop.bench import Bench, Wired
from app.desktop.shell_actions import ShellActions
from app.desktop.unsaved_sheet import UnsavedSheet
from app.desktop.window import MainWindow
from app.procedure.load import load_procedure
from app.procedure.shipped_files import CHAIN, FOLDER
from app.records.store import Store
from hardware.chain.edit import with_chain_values
from hardware.chain.load import load_chain

GAIN = ("output", "drive", "amplifier_gain")
CONTROL = Qt.KeyboardModifier.ControlModifier


def edit_gain(bench: Bench, gain: float) -> None:
    changed = with_chain_values(bench.chain, {GAIN: gain})
    bench.edit_chain(Wired(snapshot=changed, file=bench.wired.file), text="amplifier: gain")


def edit_masks(bench: Bench) -> None:
    loaded = bench.procedure
    masks = dict(loaded.procedure.masks)
    del masks["thd"]
    procedure = loaded.procedure.model_copy(update={"masks": masks})
    bench.edit_procedure(replace(loaded, procedure=procedure), text="remove THD")


def press(key: Qt.Key, held: Qt.KeyboardModifier = Qt.KeyboardModifier.NoModifier) -> None:
    focused = QApplication.focusWidget()
    assert focused is not None
    QTest.keyClick(focused, key, held)


def gain_in(file: Path) -> float:
    drive = load_chain(file).chain.output.drive
    return drive.amplifier_gain


def sheet_of(shell: ShellActions, qtbot: QtBot) -> UnsavedSheet:
    sheet = shell.leaving.sheet
    assert sheet is not None
    qtbot.waitUntil(sheet.isActiveWindow)
    return sheet


@pytest.fixture
def chain_file(qtbot: QtBot, window: MainWindow, shell: ShellActions, tmp_path: Path) -> Path:
    """The chain lies in a file of its own."""
    file = tmp_path / "bench-3.toml"
    file.write_text(CHAIN.read_text(encoding="utf-8"), encoding="utf-8")
    shell.open_chain(file)
    qtbot.waitUntil(lambda: window.settings.chain == file)
    return file


def test_a_window_without_edits_closes_at_once(window: MainWindow, shell: ShellActions) -> None:
    window.close()
    assert window.has_closed
    assert shell.leaving.sheet is None


def test_an_edit_that_was_undone_is_none(window: MainWindow, bench: Bench) -> None:
    edit_gain(bench, 12.0)
    edit_masks(bench)
    for _ in range(2):
        bench.undo_stack.undo()
    window.close()
    assert window.has_closed


def test_esc_stays_and_the_edit_is_still_there(
    qtbot: QtBot, window: MainWindow, shell: ShellActions, bench: Bench, chain_file: Path
) -> None:
    edit_gain(bench, 12.0)
    window.close()
    sheet = sheet_of(shell, qtbot)
    assert [part.what for part in sheet.parts] == ["Chain virtual bench: amplifier."]
    assert not sheet.why.isVisibleTo(sheet)  # a chain wants no reason
    press(Qt.Key.Key_Escape)
    assert not window.has_closed
    assert shell.leaving.sheet is None
    assert bench.chain.chain.output.drive.amplifier_gain == 12.0
    assert gain_in(chain_file) != 12.0


def test_enter_saves_the_chain_and_leaves(
    qtbot: QtBot, window: MainWindow, shell: ShellActions, bench: Bench, chain_file: Path
) -> None:
    edit_gain(bench, 12.0)
    window.close()
    sheet_of(shell, qtbot)
    press(Qt.Key.Key_Return)
    qtbot.waitUntil(lambda: window.has_closed)
    assert gain_in(chain_file) == 12.0


def test_control_l_leaves_the_file_as_it_was(
    qtbot: QtBot, window: MainWindow, shell: ShellActions, bench: Bench, chain_file: Path
) -> None:
    edit_gain(bench, 12.0)
    window.close()
    sheet_of(shell, qtbot)
    press(Qt.Key.Key_L, CONTROL)
    assert window.has_closed
    assert gain_in(chain_file) != 12.0


def test_a_file_that_cannot_be_written_keeps_the_window_open(
    qtbot: QtBot, window: MainWindow, shell: ShellActions, bench: Bench, chain_file: Path
) -> None:
    edit_gain(bench, 12.0)
    chain_file.unlink()
    window.close()
    sheet = sheet_of(shell, qtbot)
    press(Qt.Key.Key_Return)
    qtbot.waitUntil(lambda: "Nothing is lost yet" in sheet._refusal.text())
    assert "bench-3.toml" in sheet._refusal.text()
    assert not window.has_closed
    press(Qt.Key.Key_Escape)
    assert bench.chain.chain.output.drive.amplifier_gain == 12.0


def test_limits_are_saved_as_a_revision_with_name_and_reason(
    qtbot: QtBot, window: MainWindow, shell: ShellActions, bench: Bench, tmp_path: Path
) -> None:
    file = tmp_path / "line-check.toml"
    file.write_text((FOLDER / "line-check.toml").read_text(encoding="utf-8"), encoding="utf-8")
    shell.open_procedure(file)
    qtbot.waitUntil(lambda: bench.procedure.file == str(file))
    edit_masks(bench)
    window.close()
    sheet = sheet_of(shell, qtbot)
    assert [part.what for part in sheet.parts] == [
        f"Limits of {bench.procedure.procedure.name}: THD."
    ]
    sheet.by.set_text("quality lead")
    press(Qt.Key.Key_Return)  # the focus is in the reason, which is missing
    assert sheet.why.refusal == "Missing: a reason."
    QTest.keyClicks(sheet.why.box, "no THD this week")
    press(Qt.Key.Key_Return)
    qtbot.waitUntil(lambda: window.has_closed)
    with Store.open(tmp_path / "records.sqlite") as store:
        draft = store.limit_revision("line check", 1)
    assert (draft.state, draft.why) == ("draft", "no THD this week")
    assert "thd" not in draft.masks
    assert "thd" in load_procedure(file).procedure.masks  # nobody has approved it


def test_both_are_asked_in_one_question(
    qtbot: QtBot, window: MainWindow, shell: ShellActions, bench: Bench
) -> None:
    edit_gain(bench, 12.0)
    edit_masks(bench)
    window.close()
    assert len(sheet_of(shell, qtbot).parts) == 2
    window.close()  # again, over the open question
    assert not window.has_closed
    press(Qt.Key.Key_Escape)


def test_another_chain_asks_before_it_replaces_an_edited_one(
    qtbot: QtBot,
    window: MainWindow,
    shell: ShellActions,
    bench: Bench,
    chain_file: Path,
    tmp_path: Path,
) -> None:
    other = tmp_path / "other.toml"
    other.write_text(CHAIN.read_text().replace('"virtual bench"', '"another bench"'))
    edit_gain(bench, 12.0)
    shell.open_chain(other)
    assert sheet_of(shell, qtbot).windowTitle() == "Before other.toml opens"
    press(Qt.Key.Key_Escape)
    assert bench.wired.file == chain_file
    shell.open_chain(other)
    sheet_of(shell, qtbot)
    press(Qt.Key.Key_Return)
    qtbot.waitUntil(lambda: bench.wired.file == other)
    assert gain_in(chain_file) == 12.0
    assert not window.has_closed


def test_limits_do_not_stand_in_the_way_of_another_chain(
    qtbot: QtBot, shell: ShellActions, bench: Bench, tmp_path: Path
) -> None:
    edit_masks(bench)
    other = tmp_path / "other.toml"
    other.write_text(CHAIN.read_text())
    shell.open_chain(other)
    qtbot.waitUntil(lambda: bench.wired.file == other)
    assert shell.leaving.sheet is None
