"""A table of lines: one chosen, kept through new rows, reached by mouse and keys."""

from dataclasses import replace

import pytest
from PySide6.QtCore import Qt
from PySide6.QtTest import QTest
from pytestqt.qtbot import QtBot

from app.desktop.controls.lines_table import Column, LineRow, LinesTable
from app.desktop.controls.lines_view import MARK_ROLE
from app.desktop.presenters.mark import Mark

COLUMNS = (
    Column(title="Take", width=60, align="right"),
    Column(title="Unit"),
    Column(title="Verdict", width=140, marked=True),
)


def rows(*numbers: int) -> list[LineRow]:
    return [
        LineRow(
            cells=(str(number), f"T4-W31-{number:04d}", "conforms"),
            key=f"take {number}",
            mark=Mark.GOOD,
        )
        for number in numbers
    ]


@pytest.fixture
def table(qtbot: QtBot) -> LinesTable:
    made = LinesTable(COLUMNS, name="Takes")
    qtbot.addWidget(made)
    made.resize(500, 300)
    made.set_rows(rows(43, 42, 41))
    made.show()
    return made


def chosen(table: LinesTable) -> str | None:
    return table.key


def test_a_click_and_the_keys_choose_and_tell(table: LinesTable) -> None:
    heard: list[str] = []
    table.chosen.connect(heard.append)
    place = table.visualRect(table.model().index(1, 1)).center()
    QTest.mouseClick(table.viewport(), Qt.MouseButton.LeftButton, pos=place)
    QTest.keyClick(table, Qt.Key.Key_Down)
    assert heard == ["take 42", "take 41"]
    assert chosen(table) == "take 41"


def test_choosing_by_program_tells_nobody(table: LinesTable) -> None:
    heard: list[str] = []
    table.chosen.connect(heard.append)
    table.choose("take 41")
    assert chosen(table) == "take 41"
    table.choose(None)
    assert chosen(table) is None
    assert heard == []


def test_new_rows_keep_the_chosen_one(table: LinesTable) -> None:
    heard: list[str] = []
    table.choose("take 42")
    table.chosen.connect(heard.append)
    table.set_rows(rows(44, 43, 42))
    assert chosen(table) == "take 42"
    table.set_rows(rows(44))
    assert chosen(table) is None
    assert heard == []


def test_the_mark_stands_in_its_column(table: LinesTable) -> None:
    model = table.model()
    marks = [model.index(0, column).data(MARK_ROLE) for column in range(3)]
    assert marks == [None, None, Mark.GOOD]


def test_enter_presses_a_row(qtbot: QtBot, table: LinesTable) -> None:
    table.choose("take 42")
    with qtbot.waitSignal(table.pressed_twice) as pressed:
        QTest.keyClick(table, Qt.Key.Key_Return)
    assert pressed.args == ["take 42"]


def test_rows_are_26_px_high_and_columns_fill_the_width(table: LinesTable) -> None:
    assert table.rowHeight(0) == 26
    assert sum(table.columnWidth(column) for column in range(3)) == table.viewport().width()


def test_an_empty_table_has_a_head_and_no_row(qtbot: QtBot) -> None:
    made = LinesTable(COLUMNS)
    qtbot.addWidget(made)
    assert made.key is None
    assert made.sizeHint().height() == 26


def test_of_rows_that_stay_only_those_that_say_something_else_are_shown_anew(
    table: LinesTable,
) -> None:
    seen: list[tuple[int, int]] = []
    table.model().dataChanged.connect(
        lambda first, _last: seen.append((first.row(), first.column()))
    )
    resets: list[bool] = []
    table.model().modelReset.connect(lambda: resets.append(True))
    table.choose("take 42")
    before = rows(43, 42, 41)
    table.set_rows([before[0], replace(before[1], cells=("42", "T4-W31-0042", "fails")), before[2]])
    assert {row for row, _ in seen} == {1}
    assert not resets
    assert chosen(table) == "take 42"
    table.set_rows(rows(44, 43, 42))
    assert resets
    assert chosen(table) == "take 42"
