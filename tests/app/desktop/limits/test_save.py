"""A draft becomes a revision of its limit set; approved, it is what lines run."""

from pathlib import Path

import pytest
from PySide6.QtCore import Qt
from PySide6.QtTest import QTest
from pytestqt.qtbot import QtBot

from app.desktop.bays.limits import LimitsBay
from app.desktop.controls.words import Words
from app.desktop.presenters.mark import Mark
from app.procedure.edit_masks import offset
from app.procedure.load import load_procedure
from app.procedure.schema import LimitsNamed
from hardware.toml_file import read_text
from tests.app.desktop.limits.seen_bay import seen_bay, settled
from tests.app.measure.trial_store import PROCEDURE, keep, twenty_units, unit_take

TEXT = """name = "line-check"

[excitation]
kind = "log_sweep"
duration_s = 0.1
level_v_rms = 2.83

[masks.level]   # about the reference
quantity = "level"
upper = [[100.0, 3.0], [1000.0, 3.0], [10000.0, 3.0]]
lower = [[100.0, -3.0], [10000.0, -3.0]]

[masks.resonance]
quantity = "fs_hz"
upper = 80.0
lower = 70.0
"""


def widen(bay: LimitsBay, qtbot: QtBot, by: float = 1.0) -> None:
    bay.draft.edit(lambda mask: offset(mask, upper_by=by, lower_by=0.0), text="Offset")
    settled(bay, qtbot)


def sign(bay: LimitsBay, *, by: str, why: str) -> None:
    bay.column.revisions.by.set_text(by)
    bay.column.revisions.why.set_text(why)


def save(bay: LimitsBay, qtbot: QtBot, *, by: str = "QC lead", why: str = "wider") -> None:
    sign(bay, by=by, why=why)
    bay.actions_table.of("save").trigger()
    settled(bay, qtbot)


def approve(bay: LimitsBay, qtbot: QtBot, *, by: str = "QA", why: str = "seen on the lot") -> None:
    bay.actions_table.of("approve_limits").trigger()
    sheet = bay.approving.sheet
    assert sheet is not None
    sheet.by.set_text(by)
    sheet.why.set_text(why)
    QTest.keyClick(sheet.why.box, Qt.Key.Key_Return)
    settled(bay, qtbot)


def rows(bay: LimitsBay) -> list[tuple[str, Mark | None]]:
    return [(row.cells[0], row.mark) for row in bay.column.revisions.table.rows]


def test_limits_that_nobody_saved_are_as_they_were_opened(qtbot: QtBot, bay: LimitsBay) -> None:
    assert bay.words.happened == "The limits as opened: 19 of 20 units conform."
    assert bay.words.action_text == "Save as revision 1"
    assert rows(bay) == [("as opened, not saved", Mark.NONE)]
    bay.actions_table.of("approve_limits").trigger()
    assert bay.approving.sheet is None
    assert bay.words.happened == "Not approved: the draft is not saved yet."
    save(bay, qtbot, why="a start")
    assert rows(bay) == [("1, draft: QC lead", Mark.UNDECIDED)]


def test_a_draft_is_saved_with_name_and_reason(qtbot: QtBot, bay: LimitsBay) -> None:
    widen(bay, qtbot)
    bay.actions_table.of("save").trigger()
    # The first thing that is missing is told beside its field.
    assert bay.column.revisions.by.refusal == "Missing: a name."
    assert bay.words.happened == "Revision 1 needs a name and a reason."
    save(bay, qtbot, why="the dip wanders")
    revision = bay.bench.store.limit_revision("line-check", 1)
    assert (revision.state, revision.by, revision.why) == ("draft", "QC lead", "the dip wanders")
    assert bay.words.happened == "Revision 1 of line-check is in the store, as a draft."
    assert bay.words.action_text == "Approve revision 1"
    assert bay.side.yields.now_name.text() == "as opened"
    assert bay.bench.procedure.procedure.limits is None


def test_an_approved_revision_is_what_the_procedure_runs(qtbot: QtBot, tmp_path: Path) -> None:
    file = tmp_path / "line.toml"
    file.write_text(TEXT, encoding="utf-8")
    with seen_bay(twenty_units(tmp_path), qtbot, loaded=load_procedure(file)) as bay:
        widen(bay, qtbot, by=0.5)
        save(bay, qtbot)
        approve(bay, qtbot)
        assert bay.words.happened == "Revision 1 is approved, and written to line.toml."
        written = load_procedure(file).procedure
        assert written == bay.bench.procedure.procedure
        assert written.limits == LimitsNamed(set="line-check", revision=1)
        assert rows(bay) == [("1, approved: QA", Mark.GOOD)]
        assert bay.side.yields.now_name.text() == "revision 1"
        bay.says.forget()
        bay.says.say_again()
        assert bay.words.happened == "Revision 1: 19 of 20 units conform."
        assert (bay.words.mark, bay.words.enabled) == (Mark.GOOD, False)
    assert "# about the reference" in read_text(file)


def test_a_pressed_right_after_saving_asks_as_soon_as_that_is_known(
    qtbot: QtBot, bay: LimitsBay
) -> None:
    sign(bay, by="QC lead", why="a start")
    with qtbot.waitSignal(bay.saving.saved):
        bay.actions_table.of("save").trigger()
    assert not bay.keeper.is_settled
    bay.actions_table.of("approve_limits").trigger()
    settled(bay, qtbot)
    qtbot.waitUntil(lambda: bay.approving.sheet is not None)
    sheet = bay.approving.sheet
    assert sheet is not None
    sheet.reject()


def test_a_second_revision_retires_the_first_and_can_be_held_against_it(
    qtbot: QtBot, bay: LimitsBay
) -> None:
    save(bay, qtbot)
    approve(bay, qtbot)
    widen(bay, qtbot)
    save(bay, qtbot, by="qa")
    bay.actions_table.of("approve_limits").trigger()
    sheet = bay.approving.sheet
    assert sheet is not None
    told = [words.text() for words in sheet.findChildren(Words)]
    assert "Level: upper as a whole by +1 dB." in told
    sheet.reject()
    approve(bay, qtbot)
    assert rows(bay) == [("2, approved: QA", Mark.GOOD), ("1, retired: QA", Mark.NONE)]
    assert bay.bench.store.limit_revision("line-check", 2).is_self_approved
    bay.column.revisions.table.setCurrentIndex(bay.column.revisions.table.model().index(1, 0))
    assert bay.words.happened == (
        "From revision 1 to revision 2: Level: upper as a whole by +1 dB."
    )
    old = bay.units.plot.masks[0].old
    assert old is not None
    assert old[1][0] == 3.0


def test_what_was_approved_meanwhile_is_told_and_seen(qtbot: QtBot, bay: LimitsBay) -> None:
    store, masks = bay.bench.store, PROCEDURE.masks
    widen(bay, qtbot)
    save(bay, qtbot)
    bay.actions_table.of("approve_limits").trigger()
    other = store.add_limit_revision("line-check", masks, by="night shift", why="a start")
    store.approve_limits("line-check", other.number, by="night shift", why="seen", seen=None)
    sheet = bay.approving.sheet
    assert sheet is not None
    sheet.by.set_text("QA")
    sheet.why.set_text("wider")
    QTest.keyClick(sheet.why.box, Qt.Key.Key_Return)
    settled(bay, qtbot)
    told = " ".join(words.text() for words in sheet.findChildren(Words))
    assert "revision 2" in told
    assert "night shift" in told
    assert store.limit_revision("line-check", 1).state == "draft"
    assert ("2, approved: night shift", Mark.GOOD) in rows(bay)
    sheet.reject()


def test_an_approved_revision_of_another_station_is_taken_over(
    qtbot: QtBot, bay: LimitsBay
) -> None:
    store = bay.bench.store
    other = store.add_limit_revision("line-check", PROCEDURE.masks, by="QC", why="a start")
    store.approve_limits("line-check", other.number, by="QA", why="seen", seen=None)
    bay.bench.store_changed.emit()
    settled(bay, qtbot)
    bay.says.say_again()
    assert bay.words.mark is Mark.CAUTION
    assert bay.words.action_text == "Run revision 1 here"
    bay.actions_table.of("approve_limits").trigger()
    settled(bay, qtbot)
    assert bay.bench.procedure.procedure.limits == LimitsNamed(set="line-check", revision=1)


def test_a_file_that_changed_meanwhile_is_left_alone_and_told(qtbot: QtBot, tmp_path: Path) -> None:
    file = tmp_path / "line.toml"
    file.write_text(TEXT, encoding="utf-8")
    with seen_bay(twenty_units(tmp_path), qtbot, loaded=load_procedure(file)) as bay:
        save(bay, qtbot)
        file.write_text(TEXT.replace("2.83", "2.0"), encoding="utf-8")
        approve(bay, qtbot)
        sheet = bay.approving.sheet
        assert sheet is not None
        told = " ".join(words.text() for words in sheet.findChildren(Words))
        assert "changed since it was opened" in told
        assert bay.bench.store.limit_revision("line-check", 1).state == "draft"
        sheet.reject()
    assert "level_v_rms = 2.0" in read_text(file)


def test_a_revision_is_retired_with_name_and_reason(qtbot: QtBot, bay: LimitsBay) -> None:
    save(bay, qtbot)
    bay.actions_table.of("retire_limits").trigger()
    sheet = bay.approving.sheet
    assert sheet is not None
    sheet.by.set_text("QC lead")
    sheet.why.set_text("too wide")
    QTest.keyClick(sheet.why.box, Qt.Key.Key_Return)
    settled(bay, qtbot)
    assert rows(bay) == [("1, retired: QC lead", Mark.NONE)]


def test_an_older_revision_comes_back_and_that_can_be_undone(qtbot: QtBot, bay: LimitsBay) -> None:
    save(bay, qtbot)
    widen(bay, qtbot)
    save(bay, qtbot)
    bay.column.revisions.wanted.emit(1)
    settled(bay, qtbot)
    assert bay.bench.procedure.procedure == PROCEDURE
    assert bay.words.action_text == "Approve revision 1"
    bay.bench.undo_stack.undo()
    settled(bay, qtbot)
    assert bay.bench.procedure.procedure != PROCEDURE


def test_an_empty_store_says_what_will_come_and_limits_can_be_drawn(
    qtbot: QtBot, empty_bay: LimitsBay
) -> None:
    bay = empty_bay
    assert bay.words.happened == (
        "No unit has been measured with line-check yet: limits stand without a spread."
    )
    assert bay.side.yields.draft.text() == "—"
    assert bay.units.plot.scene.hint.startswith("Units measured with line-check")
    assert [row.cells[1:] for row in bay.column.masks.table.rows] == [("—", "—"), ("—", "—")]
    assert len(bay.units.plot.masks) == 2
    widen(bay, qtbot)
    save(bay, qtbot, why="first")
    assert bay.bench.store.limit_revision("line-check", 1).why == "first"
    bay.actions_table.of("propose_mask").trigger()
    assert bay.words.happened == "There is no unit to propose limits from."


def test_a_unit_that_is_measured_meanwhile_comes_in(qtbot: QtBot, bay: LimitsBay) -> None:
    keep(bay.bench.store, unit_take(30, offset=5.0), number=30)
    bay.bench.store_changed.emit()
    settled(bay, qtbot)
    assert bay.words.happened == "The limits as opened: 19 of 21 units conform."
    assert bay.column.masks.table.rows[0].cells[1] == "1"


def test_units_of_one_lot(qtbot: QtBot, bay: LimitsBay) -> None:
    bay.side.lot_chosen.emit("T4-W32")
    settled(bay, qtbot)
    assert bay.words.happened == "The limits as opened: 9 of 10 units conform."


def test_a_unit_that_changes_is_drawn_and_ringed(qtbot: QtBot, bay: LimitsBay) -> None:
    widen(bay, qtbot, by=-2.25)
    row = bay.side.flips.rows[0]
    bay.side.flips.pressed.emit(row.unit)
    assert [line.name for line in bay.units.plot.lines] == ["0019"]
    assert bay.units.plot.masks[0].broken_by == ("0019",)
    assert {one.word for one in bay.units.dots.scene.lifted.values()} == {"0019"}
    bay.side.flips.pressed.emit(row.unit)
    assert bay.units.plot.lines == ()


def test_a_trial_is_exported_as_a_table(qtbot: QtBot, bay: LimitsBay, tmp_path: Path) -> None:
    widen(bay, qtbot, by=-2.25)
    path = tmp_path / "trial.csv"
    bay.export.export_to(path)
    settled(bay, qtbot)
    head, first, second, *_ = path.read_text(encoding="utf-8").splitlines()
    assert head == ("unit,lot,take,inspection,limits in force,draft,margin level,margin resonance")
    assert first == "T4-W31-0020,T4-W32,20,bad,does not conform,does not conform,-0.25,-1"
    assert second == "T4-W31-0019,T4-W31,19,good,conforms,does not conform,-0.15,5"
    assert bay.words.happened == "The trial is written to trial.csv."


@pytest.mark.parametrize("size", [(1280, 576), (1280, 636), (1100, 636), (1920, 916)])
def test_nothing_overlaps_at_any_size(qtbot: QtBot, bay: LimitsBay, size: tuple[int, int]) -> None:
    widen(bay, qtbot)
    bay.resize(*size)
    column = bay.column
    for one, next_one in (
        (column.masks, column.point),
        (column.point, column.revisions),
    ):
        assert one.geometry().bottom() < next_one.geometry().top()
    assert column.revisions.geometry().bottom() <= column.height()
    assert bay.units.plot.height() > bay.units.dots.height() > 100


@pytest.mark.parametrize(("name", "begins"), [("plots.png", b"\x89PNG"), ("plots.svg", b"<?xml")])
def test_the_plots_are_exported_as_a_picture_and_a_drawing(
    qtbot: QtBot, bay: LimitsBay, tmp_path: Path, name: str, begins: bytes
) -> None:
    bay.export.export_to(tmp_path / name)
    settled(bay, qtbot)
    assert (tmp_path / name).read_bytes().startswith(begins)
    assert bay.words.happened == f"The plots are written to {name}."


def test_a_place_that_takes_nothing_is_told(qtbot: QtBot, bay: LimitsBay, tmp_path: Path) -> None:
    (tmp_path / "file").write_text("", encoding="utf-8")
    bay.export.export_to(tmp_path / "file" / "trial.csv")
    settled(bay, qtbot)
    assert "cannot be written" in bay.words.happened
