"""A draft becomes a revision: with a name and a reason, in the store and in its file."""

from pathlib import Path

import pytest
from pytestqt.qtbot import QtBot

from app.desktop.bays.limits import LimitsBay
from app.desktop.presenters.mark import Mark
from app.procedure.edit_masks import offset
from app.procedure.load import load_procedure
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


def test_without_a_draft_there_is_nothing_to_save(bay: LimitsBay) -> None:
    assert not bay.words.enabled
    assert bay.words.happened == "Revision 1 is in force: 19 of 20 units conform."
    bay.actions_table.of("save").trigger()
    assert len(bay.bench.store.revisions("line-check")) == 1


def test_a_draft_is_saved_with_name_and_reason(qtbot: QtBot, bay: LimitsBay) -> None:
    widen(bay, qtbot)
    assert bay.words.action_text == "Save as revision 2"
    bay.actions_table.of("save").trigger()
    # The first thing that is missing is told beside its field.
    assert bay.column.revisions.by.refusal == "Missing: a name."
    assert bay.words.happened == "Revision 2 needs a name and a reason."
    sign(bay, by="QC lead", why="the dip wanders")
    bay.actions_table.of("save").trigger()
    settled(bay, qtbot)
    revision = bay.bench.store.revisions("line-check")[0]
    assert (revision.number, revision.by, revision.why) == (2, "QC lead", "the dip wanders")
    assert bay.words.happened == "Revision 2 is in the store."
    rows = bay.column.revisions.table.rows
    assert [row.cells[0] for row in rows] == ["2, in force: QC lead", "1, unsigned: 20 takes"]
    assert [row.mark for row in rows] == [Mark.GOOD, Mark.NONE]
    assert bay.side.yields.now_name.text() == "revision 2"


def test_the_file_has_the_new_limits_and_its_comments(qtbot: QtBot, tmp_path: Path) -> None:
    file = tmp_path / "line.toml"
    file.write_text(TEXT, encoding="utf-8")
    loaded = load_procedure(file)
    assert loaded.procedure == PROCEDURE
    with seen_bay(twenty_units(tmp_path), qtbot, loaded=loaded) as bay:
        widen(bay, qtbot, by=0.5)
        sign(bay, by="QC lead", why="wider")
        bay.actions_table.of("save").trigger()
        settled(bay, qtbot)
        assert bay.words.happened == "Revision 2 is in the store and written to line.toml."
        assert load_procedure(file).procedure == bay.bench.procedure.procedure
    assert "# about the reference" in read_text(file)


def test_a_file_that_changed_meanwhile_is_left_alone_and_told(qtbot: QtBot, tmp_path: Path) -> None:
    file = tmp_path / "line.toml"
    file.write_text(TEXT, encoding="utf-8")
    with seen_bay(twenty_units(tmp_path), qtbot, loaded=load_procedure(file)) as bay:
        widen(bay, qtbot)
        sign(bay, by="QC lead", why="wider")
        file.write_text(TEXT.replace("2.83", "2.0"), encoding="utf-8")
        bay.actions_table.of("save").trigger()
        settled(bay, qtbot)
        assert bay.words.mark is Mark.BAD
        assert "changed since it was opened" in bay.words.happened
        assert bay.words.enabled
        assert len(bay.bench.store.revisions("line-check")) == 1
    assert "level_v_rms = 2.0" in read_text(file)


def test_an_older_revision_comes_back_and_that_can_be_undone(qtbot: QtBot, bay: LimitsBay) -> None:
    widen(bay, qtbot)
    sign(bay, by="QC lead", why="wider")
    bay.actions_table.of("save").trigger()
    settled(bay, qtbot)
    first = bay.column.revisions.table.rows[1].key
    bay.column.revisions.wanted.emit(first)
    settled(bay, qtbot)
    assert bay.bench.procedure.procedure == PROCEDURE
    assert bay.side.yields.draft_name.text() == "revision 1"
    assert not bay.words.enabled
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
    sign(bay, by="QC lead", why="first")
    bay.actions_table.of("save").trigger()
    settled(bay, qtbot)
    assert bay.bench.store.revisions("line-check")[0].number == 1
    bay.actions_table.of("propose_mask").trigger()
    assert bay.words.happened == "There is no unit to propose limits from."


def test_a_unit_that_is_measured_meanwhile_comes_in(qtbot: QtBot, bay: LimitsBay) -> None:
    keep(bay.bench.store, unit_take(30, offset=5.0), number=30)
    bay.bench.store_changed.emit()
    settled(bay, qtbot)
    assert bay.words.happened == "Revision 1 is in force: 19 of 21 units conform."
    assert bay.column.masks.table.rows[0].cells[1] == "1"


def test_units_of_one_lot(qtbot: QtBot, bay: LimitsBay) -> None:
    bay.side.lot_chosen.emit("T4-W32")
    settled(bay, qtbot)
    assert bay.words.happened == "Revision 1 is in force: 9 of 10 units conform."


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
