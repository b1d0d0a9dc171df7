"""What a person does with a record: derive again, compare, copy, write, decide, open."""

from pathlib import Path

from PySide6.QtCore import Qt
from PySide6.QtGui import QGuiApplication
from pytestqt.qtbot import QtBot

from app.desktop.presenters.mark import Mark
from app.records.filters import Kind
from tests.app.desktop.records.line_store import rig_take
from tests.app.desktop.records.open_bay import Open, opened


def test_a_take_of_the_rig_derived_again_is_the_same_bit_for_bit(
    qtbot: QtBot, tmp_path: Path
) -> None:
    one = opened(qtbot, tmp_path, takes=[])
    take, capture = rig_take()
    one.bench.store.keep(take, capture=capture)
    one.act("look_again")
    one.act("derive_again")
    assert one.bay.words.happened == "Take 1 was derived again: nothing differs."
    assert one.bay.words.mark is Mark.GOOD
    assert one.bay.panel.again.said[0].mark is Mark.GOOD
    one.act("derive_again")
    assert one.bench.store.count() == 1  # nothing new to keep
    one.bench.close()


def test_what_differs_is_kept_only_when_it_is_asked_for_again(line: Open) -> None:
    # The line's sensitivity was made up: its recording tells another one.
    line.act("derive_again")
    assert line.bay.words.mark is Mark.CAUTION
    assert line.bench.store.count() == 12
    line.act("derive_again")
    assert line.bench.store.count() == 13
    assert line.number() == 13
    assert line.bay.record is not None
    assert line.bay.record.derived_from_number == 12
    assert line.bay.words.happened == "Take 13 is kept: take 12 with the figures of today."
    assert line.bench.store.count(kind=Kind.DERIVED_AGAIN) == 1


def test_figures_derived_again_are_let_go_with_their_take(line: Open) -> None:
    line.act("derive_again")
    line.key(Qt.Key.Key_Down)
    line.key(Qt.Key.Key_Up)
    line.act("derive_again")  # derives anew: nothing was pending
    assert line.bench.store.count() == 12


def test_a_recording_that_is_gone_is_told_in_one_line(line: Open) -> None:
    for file in line.bench.store.folder.rglob("*.wav"):
        file.unlink()
    line.act("derive_again")
    assert line.bay.words.mark is Mark.BAD
    assert "\n" not in line.bay.words.happened
    assert line.number() == 12


def test_two_takes_stand_side_by_side_until_it_is_ended(line: Open) -> None:
    line.act("compare")
    assert line.bay.words.happened == "Take 12 is held for a comparison."
    line.key(Qt.Key.Key_Down)
    assert line.bay.panel.title == "Take 11 less take 12"
    assert line.bay.below.currentWidget() is line.bay.compared
    assert [plot_line.name for plot_line in line.bay.compared.plot.lines] == ["take 11", "12"]
    line.act("difference")
    assert [plot_line.name for plot_line in line.bay.compared.plot.lines] == ["11 − 12"]
    line.act("copy")
    assert QGuiApplication.clipboard().text().count("\t") > 10
    line.act("compare")
    assert line.bay.panel.title == "Take 11"
    assert line.bay.below.currentWidget() is line.bay.trend


def test_the_record_is_copied_as_a_table(line: Open) -> None:
    line.act("copy")
    rows = [row.split("\t") for row in QGuiApplication.clipboard().text().splitlines()]
    assert rows[0] == ["Take 12", "T4-W29-0004"]
    assert ["procedure", "line check, form 1"] in rows


def test_the_trend_is_copied_as_a_table_from_where_the_keyboard_is(line: Open) -> None:
    line.bay.trend.plot.setFocus()
    line.act("copy")
    rows = QGuiApplication.clipboard().text().splitlines()
    assert len(rows) == 1 + len(line.takes)
    assert rows[-1].endswith(line.takes[-1].id)


def test_the_trend_is_copied_as_a_picture(line: Open) -> None:
    line.act("copy_picture")
    assert not QGuiApplication.clipboard().image().isNull()


def test_a_take_is_written_to_the_folder_that_was_typed(line: Open, tmp_path: Path) -> None:
    line.act("export")
    row = line.bay.record_actions.export_row
    assert row.isVisible()
    line.key(Qt.Key.Key_Return, on=row.fields[0].box)
    assert row.fields[0].refusal == "empty: a few words are needed"
    line.qtbot.keyClicks(row.fields[0].box, str(tmp_path / "out"))
    line.key(Qt.Key.Key_Return, on=row.fields[0].box)
    assert not row.isVisible()
    suffixes = {file.suffix for file in (tmp_path / "out").rglob("*") if file.is_file()}
    assert suffixes >= {".csv", ".json", ".h5", ".wav"}
    assert line.bay.words.happened.startswith("Take 12: ")


def test_the_report_is_one_pdf_in_the_folder_that_was_typed(qtbot: QtBot, tmp_path: Path) -> None:
    one = opened(qtbot, tmp_path, takes=[])
    take, capture = rig_take()
    one.bench.store.keep(take, capture=capture)
    one.act("look_again")
    one.act("export")
    one.act("report")
    acts = one.bay.record_actions
    assert (acts.export_row.isVisible(), acts.report_row.isVisible()) == (False, True)
    row = acts.report_row
    (tmp_path / "file").touch()
    for folder in ("file", "out"):
        row.fields[0].set_text(str(tmp_path / folder))
        one.key(Qt.Key.Key_Return, on=row.fields[0].box)
        if folder == "file":
            assert "not a directory" in row.fields[0].refusal.lower()
    (file,) = (tmp_path / "out").iterdir()
    assert file.name == f"{take.unit}-{take.id[:8]}.pdf"
    assert file.read_bytes().startswith(b"%PDF")
    assert one.bay.words.happened == f"The report of take 1 is {file}."
    assert one.bay.words.mark is Mark.GOOD
    one.bench.close()


def test_a_folder_that_cannot_be_written_is_told_beside_the_field(
    line: Open, tmp_path: Path
) -> None:
    (tmp_path / "file").touch()
    line.act("export")
    row = line.bay.record_actions.export_row
    row.fields[0].set_text(str(tmp_path / "file"))
    line.key(Qt.Key.Key_Return, on=row.fields[0].box)
    assert row.isVisible()
    assert "not a directory" in row.fields[0].refusal.lower()
    line.key(Qt.Key.Key_Escape, on=row.fields[0].box)
    assert not row.isVisible()


def test_a_reference_is_set_with_a_name_and_a_reason(line: Open) -> None:
    line.key(Qt.Key.Key_Down)
    line.act("set_reference")
    row = line.bay.record_actions.reference_row
    row.fields[0].set_text("N. N.")
    line.key(Qt.Key.Key_Return, on=row.fields[0].box)
    assert line.bench.store.reference("line check") is None  # no reason yet
    line.qtbot.keyClicks(row.fields[1].box, "the middle of the lot")
    line.key(Qt.Key.Key_Return, on=row.fields[1].box)
    reference = line.bench.store.reference("line check")
    assert reference is not None
    assert reference.id == line.takes[-2].id
    assert line.bay.record is not None
    assert line.bay.record.is_reference
    assert line.bay.words.happened == "Take 11 is the reference of line check from now on."
    line.key(Qt.Key.Key_Up)
    assert line.bay.words.happened == "The store holds 12 takes. Take 12 is chosen."
    assert line.bench.store.audit()[0].who == "N. N."


def test_a_take_is_opened_in_measure(line: Open) -> None:
    asked: list[tuple[str, object]] = []
    line.bay.open_bay.connect(lambda bay, payload: asked.append((bay, payload)))
    line.act("open_take")
    line.key(Qt.Key.Key_Return)
    assert asked == [("measure", line.takes[-1].id)] * 2
