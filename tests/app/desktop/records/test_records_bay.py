"""The bay as a person uses it: find, filter, choose, derive again, compare, write, decide."""

from collections.abc import Iterator
from dataclasses import dataclass
from itertools import pairwise
from pathlib import Path
from shutil import copytree

import pytest
from PySide6.QtCore import QPoint, QRect, Qt
from PySide6.QtGui import QGuiApplication
from PySide6.QtWidgets import QVBoxLayout, QWidget
from pytestqt.qtbot import QtBot

from app.desktop.actions import Actions
from app.desktop.bays.records import RecordsBay
from app.desktop.bench import Bench, Wired
from app.desktop.controls.key_button import KeyButton
from app.desktop.panels.records.take_model import NUMBER
from app.desktop.presenters.mark import Mark
from app.procedure.shipped import demo_chain, find_procedure
from app.records.filters import Kind
from app.records.store import Store
from app.records.take import Take
from dsp.conformity.verdict import Verdict
from tests.app.desktop.records.line_store import fill_line, rig_take


@dataclass(slots=True, kw_only=True, eq=False)
class Open:
    """A window with the bay in it, entered, its list there."""

    bay: RecordsBay
    bench: Bench
    window: QWidget
    takes: list[Take]
    qtbot: QtBot

    def settle(self) -> None:
        self.qtbot.waitUntil(lambda: not self.bench.worker.is_busy, timeout=20_000)

    def key(self, key: Qt.Key, *, on: QWidget | None = None) -> None:
        self.qtbot.keyClick(on or self.bay.table, key)
        self.settle()

    def act(self, action: str) -> None:
        self.bay.actions_table.of(action).trigger()
        self.settle()

    def listed(self) -> list[int]:
        model = self.bay.model
        return [int(model.index(row, NUMBER).data()) for row in range(model.rowCount())]

    def number(self) -> int | None:
        return self.bay.record.number if self.bay.record else None


@dataclass(frozen=True, slots=True, kw_only=True)
class Filled:
    """A folder with a store, to be copied, and what was kept in it."""

    folder: Path
    takes: list[Take]


@pytest.fixture(scope="module")
def filled(tmp_path_factory: pytest.TempPathFactory) -> Filled:
    folder = tmp_path_factory.mktemp("line")
    with Store.open(folder / "records.sqlite") as store:
        return Filled(folder=folder, takes=fill_line(store, lots=3, units=4))


def opened(qtbot: QtBot, folder: Path, *, takes: list[Take]) -> Open:
    store = Store.open(folder / "records.sqlite")
    bench = Bench(
        store=store,
        chain=Wired(snapshot=demo_chain(), file=None),
        procedure=find_procedure("line-check"),
    )
    window = QWidget()
    window.resize(1280, 640)
    actions = Actions(window)
    actions.of("stop").setShortcuts([])  # Esc belongs to the window's own filter
    bay = RecordsBay(bench, actions)
    QVBoxLayout(window).addWidget(bay)
    qtbot.addWidget(window)
    window.show()
    bay.entered()
    made = Open(bay=bay, bench=bench, window=window, takes=takes, qtbot=qtbot)
    made.settle()
    return made


@pytest.fixture
def line(qtbot: QtBot, tmp_path: Path, filled: Filled) -> Iterator[Open]:
    copytree(filled.folder, tmp_path / "line")
    made = opened(qtbot, tmp_path / "line", takes=filled.takes)
    yield made
    made.bench.close()


def test_the_newest_take_is_chosen_and_its_record_stands_there(line: Open) -> None:
    assert line.listed() == list(range(12, 0, -1))
    assert line.number() == 12
    assert line.bay.panel.title == "Take 12"
    assert line.bay.trend.plot.scene.chosen == line.takes[-1].id
    assert line.bay.words.happened == "The store holds 12 takes. Take 12 is chosen."


def test_a_store_without_takes_says_what_will_stand_here(qtbot: QtBot, tmp_path: Path) -> None:
    empty = opened(qtbot, tmp_path, takes=[])
    assert empty.bay.words.happened == "The store holds no take yet."
    assert empty.bay.words.action == "bay.measure"
    assert empty.bay.panel.title == "No take chosen"
    assert not empty.bay.actions_table.of("derive_again").isEnabled()
    take, capture = rig_take()
    empty.bench.store.keep(take, capture=capture)
    empty.bench.store_changed.emit()
    empty.settle()
    assert empty.number() == 1
    assert empty.bay.actions_table.of("derive_again").isEnabled()
    empty.bench.close()


def test_typing_finds_and_an_empty_field_lets_everything_pass(line: Open) -> None:
    line.bay.record_actions.find()
    box = line.bay.finder.field.box
    assert box.hasFocus()
    line.qtbot.keyClicks(box, "w28 0003")
    line.settle()
    assert line.listed() == [7]
    assert line.number() == 7
    assert line.bay.words.happened == "1 take fits “w28 0003”. Take 7 is chosen."
    line.qtbot.keyClicks(box, "x")
    line.settle()
    assert line.listed() == []
    assert line.number() is None
    assert line.bay.words.happened == "No take fits “w28 0003x”."
    box.selectAll()
    line.key(Qt.Key.Key_Backspace, on=box)
    assert len(line.listed()) == 12


def test_counts_filter_and_follow_each_other(line: Open) -> None:
    bay = line.bay
    bay.finder.lots.filtered.emit("T4-W28")
    line.settle()
    assert line.listed() == [8, 7, 6, 5]
    counted = {row.key: int(row.count) for row in bay.finder.verdicts.rows}
    assert sum(counted.values()) == 4
    verdict = next(key for key, count in counted.items() if count)
    bay.finder.verdicts.filtered.emit(verdict)
    line.settle()
    assert len(line.listed()) == counted[verdict]
    assert {row.key for row in bay.finder.lots.rows} >= {"T4-W28"}
    bay.finder.lots.filtered.emit("")
    bay.finder.verdicts.filtered.emit("")
    line.settle()
    assert len(line.listed()) == 12


def test_arrows_go_through_the_takes_and_the_record_follows(line: Open) -> None:
    line.key(Qt.Key.Key_Down)
    line.key(Qt.Key.Key_Down)
    assert line.number() == 10
    line.key(Qt.Key.Key_End)
    assert line.number() == 1
    assert line.bay.panel.title == "Take 1"


def test_a_dot_of_the_trend_chooses_its_take(line: Open) -> None:
    line.bay.trend.plot.point_pressed.emit(line.takes[4].id)
    line.settle()
    assert line.number() == 5
    assert line.bay.table.currentIndex().row() == 7


def test_another_figure_can_be_followed(line: Open) -> None:
    assert line.bay.trend.plot.title == "Sensitivity over lots"
    line.bay.trend.figure_chosen.emit("fs_hz")
    line.settle()
    assert line.bay.trend.plot.title == "Resonance over lots"
    line.bay.trend.figure_chosen.emit("margin level")
    line.settle()
    assert line.bay.trend.plot.title == "Margin of level over lots"
    assert len(line.bay.trend.plot.scene.points.keys) == 12


def test_a_take_that_comes_stands_there_and_the_chosen_one_stays(line: Open) -> None:
    line.key(Qt.Key.Key_Down)
    take, capture = rig_take()
    line.bench.store.keep(take, capture=capture)
    line.bench.store_changed.emit()
    line.settle()
    assert len(line.listed()) == 13
    assert line.number() == 11
    assert line.listed()[line.bay.table.currentIndex().row()] == 11


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
    for file in line.bench.store.place.parent.rglob("*.wav"):
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
    assert ["procedure", "line check, revision 1"] in rows


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


def test_another_bay_can_show_a_take_here_whatever_was_filtered(line: Open) -> None:
    line.bay.finder.lots.filtered.emit("T4-W29")
    line.settle()
    line.bay.show_there(line.takes[0].id)
    line.settle()
    assert line.number() == 1
    assert len(line.listed()) == 12
    assert line.bay.finder.lots.key == ""


def test_a_store_that_grows_meanwhile_is_looked_at_when_the_bay_is_entered(line: Open) -> None:
    line.bay.left()
    take, capture = rig_take()
    line.bench.store.keep(take, capture=capture)
    line.bench.store_changed.emit()
    line.settle()
    assert len(line.listed()) == 12
    line.bay.entered()
    line.settle()
    assert len(line.listed()) == 13


def test_verdicts_are_counted_as_the_store_counts_them(line: Open) -> None:
    counted = {row.key: int(row.count) for row in line.bay.finder.verdicts.rows}
    assert counted == {
        verdict.value: line.bench.store.count(verdict=verdict) for verdict in Verdict
    }


def test_where_the_columns_are_folded_what_is_asked_for_comes_into_sight(line: Open) -> None:
    line.window.resize(1024, 640)
    line.settle()
    assert not line.bay.panel.isVisible()
    line.act("export")
    assert line.bay.record_actions.export_row.isVisible()
    buttons = line.bay.panel.findChildren(KeyButton)
    assert all(button.width() >= button.sizeHint().width() for button in buttons)


@pytest.mark.parametrize(("width", "height"), [(1280, 576), (1280, 636), (1920, 916)])
def test_nothing_overlaps_or_is_cut(line: Open, width: int, height: int) -> None:
    line.window.resize(width, height)
    line.settle()
    bay = line.bay
    for parts in (
        (bay.finder.field, bay.finder.lots, bay.finder.verdicts, bay.finder.kinds),
        (bay.table, bay.trend.plot, bay.trend.choice),
        (bay.panel.made, bay.panel.again),
    ):
        boxes = [QRect(part.mapTo(bay, QPoint()), part.size()) for part in parts]
        for above, below in pairwise(boxes):
            assert above.bottom() <= below.top()
        assert boxes[-1].bottom() <= bay.rect().bottom()
    assert bay.trend.plot.height() >= 150
    kinds = bay.finder.kinds
    assert kinds.height() == kinds.sizeHint().height()
