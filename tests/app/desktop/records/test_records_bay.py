"""The list as a person uses it: find, filter, choose, follow; it fits every window."""

import sqlite3
from contextlib import closing
from itertools import pairwise
from pathlib import Path

import pytest
from PySide6.QtCore import QPoint, QRect, Qt
from pytestqt.qtbot import QtBot

from app.desktop.controls.key_button import KeyButton
from app.desktop.panels.records.look import look
from app.desktop.presenters.records_query import RecordsQuery
from app.desktop.presenters.records_table import TakeLine
from app.errors import BadInputError
from dsp.conformity.verdict import Verdict
from tests.app.desktop.records.line_store import rig_take
from tests.app.desktop.records.open_bay import Open, opened


def line_of(line: Open, *, lot: str) -> tuple[TakeLine, ...]:
    return look(line.bench.store, query=RecordsQuery(lot=lot), chosen=None).lines


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
    assert line.bay.words.happened == "1 take found: “w28 0003”. Take 7 is chosen."
    line.qtbot.keyClicks(box, "x")
    line.settle()
    assert line.listed() == []
    assert line.number() is None
    assert line.bay.words.happened == "No take found: “w28 0003x”."
    box.selectAll()
    line.key(Qt.Key.Key_Backspace, on=box)
    assert len(line.listed()) == 12


def test_a_page_of_a_list_that_is_gone_does_not_come_into_the_next(line: Open) -> None:
    listing, model = line.bay.listing, line.bay.model
    assert listing.latest is not None
    gone = listing.latest.list_of
    assert gone is not None
    line.bay.finder.lots.filtered.emit("T4-W28")
    line.settle()
    listing._take_page((gone, 0, line_of(line, lot="T4-W29")))  # arrives late
    assert line.listed() == [8, 7, 6, 5]
    assert model.row_of(line.takes[-1].id) is None


def test_a_long_list_is_shown_before_it_is_counted(
    line: Open, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr("app.desktop.panels.records.look.PAGE", 4)
    monkeypatch.setattr("app.desktop.panels.records.take_model.PAGE", 4)
    found = look(line.bench.store, query=RecordsQuery(text="T4"), chosen=None)
    assert (found.total, len(found.lines)) == (None, 4)
    line.bay.finder.text_edited.emit("T4")
    line.settle()
    assert line.bay.model.rowCount() == 12
    assert line.bay.words.happened == "12 takes found: “T4”. Take 12 is chosen."
    line.key(Qt.Key.Key_End)  # its page is fetched first
    line.qtbot.waitUntil(lambda: line.number() == 1)


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


def test_a_record_that_cannot_be_read_leaves_none_of_another_take(
    line: Open, monkeypatch: pytest.MonkeyPatch
) -> None:
    def refuse(take_id: str) -> None:
        raise BadInputError(f"take {take_id[:8]}", "this version does not understand it")

    with monkeypatch.context() as patch:
        patch.setattr(line.bench.store, "record", refuse)
        line.key(Qt.Key.Key_Down)
    assert "this version does not understand it" in line.bay.words.happened
    assert line.bay.panel.title == "No take chosen"
    line.key(Qt.Key.Key_Down)
    assert line.number() == 10


def test_takes_of_a_version_that_wrote_otherwise_are_still_listed(line: Open) -> None:
    with closing(sqlite3.connect(line.bench.store.name)) as connection, connection:
        connection.execute("UPDATE snapshots SET document = '{}' WHERE kind = 'procedure'")
    line.bay.finder.text_edited.emit("W28")
    line.settle()
    assert line.listed() == [8, 7, 6, 5]
    assert "does not understand" in line.bay.words.happened


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
