"""Pieces of work come one a turn, so that the window's own events come in between."""

import pytest
from PySide6.QtCore import QTimer
from pytestqt.qtbot import QtBot

from app.desktop.turns import Turns


@pytest.fixture
def done() -> list[str]:
    return []


def test_between_two_pieces_the_window_s_own_events_come(qtbot: QtBot, done: list[str]) -> None:
    turns = Turns()

    def first() -> None:
        done.append("first")
        QTimer.singleShot(0, lambda: done.append("the window"))

    turns.take((first, lambda: done.append("second"), lambda: done.append("third")))
    assert not done
    assert turns.is_busy
    qtbot.waitUntil(lambda: "third" in done)
    assert done[0] == "first"
    assert done.index("the window") < done.index("third")
    assert not turns.is_busy


def test_what_is_taken_up_anew_takes_the_place_of_what_was_due(
    qtbot: QtBot, done: list[str]
) -> None:
    turns = Turns()
    turns.take((lambda: done.append("old"),))
    turns.take((lambda: done.append("new"),))
    qtbot.waitUntil(lambda: bool(done))
    assert done == ["new"]


def test_nothing_is_done_any_more_where_that_was_said(qtbot: QtBot, done: list[str]) -> None:
    turns = Turns()
    turns.take((lambda: done.append("old"),))
    turns.take(())
    assert not turns.is_busy
    QTimer.singleShot(0, lambda: done.append("later"))
    qtbot.waitUntil(lambda: bool(done))
    assert done == ["later"]
