"""A count filters when it is pressed, and lets go when it is pressed again."""

import pytest
from PySide6.QtCore import Qt
from pytestqt.qtbot import QtBot

from app.desktop.panels.records.counts_list import ROW, CountsList
from app.desktop.presenters.records_counts import CountRow

ROWS = tuple(CountRow(key=f"T4-W{n}", name=f"T4-W{n}", count=str(n)) for n in range(27, 32))


@pytest.fixture
def counts(qtbot: QtBot) -> CountsList:
    made = CountsList("Lots")
    qtbot.addWidget(made)
    made.resize(200, 200)
    made.set_rows(ROWS, key="")
    made.show()
    return made


def press(qtbot: QtBot, counts: CountsList, row: int) -> None:
    at = counts.visualRect(counts.model().index(row, 0)).center()
    qtbot.mouseClick(counts.viewport(), Qt.MouseButton.LeftButton, pos=at)


def test_a_press_filters_and_another_lets_go(qtbot: QtBot, counts: CountsList) -> None:
    told: list[str] = []
    counts.filtered.connect(told.append)
    press(qtbot, counts, 1)
    press(qtbot, counts, 3)
    press(qtbot, counts, 3)
    assert told == ["T4-W28", "T4-W30", ""]
    assert counts.key == ""


def test_keys_do_the_same(qtbot: QtBot, counts: CountsList) -> None:
    told: list[str] = []
    counts.filtered.connect(told.append)
    counts.setFocus()
    qtbot.keyClick(counts, Qt.Key.Key_Down)
    qtbot.keyClick(counts, Qt.Key.Key_Down)
    qtbot.keyClick(counts, Qt.Key.Key_Backspace)
    assert told == ["T4-W27", "T4-W28", ""]


def test_other_counts_come_without_telling_anybody(counts: CountsList) -> None:
    told: list[str] = []
    counts.filtered.connect(told.append)
    counts.set_rows(ROWS[2:], key="T4-W30")
    counts.set_rows(ROWS, key="T4-W30")
    counts.set_rows(ROWS, key="")
    assert told == []
    assert counts.sizeHint().height() == ROW * len(ROWS)


def test_who_hears_it_hears_name_and_count(counts: CountsList) -> None:
    index = counts.model().index(0, 0)
    assert index.data(Qt.ItemDataRole.AccessibleTextRole) == "T4-W27 27"
