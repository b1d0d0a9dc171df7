"""Work away from the window's thread: answers come home, stale ones don't."""

import threading
from collections.abc import Iterator

import pytest
from PySide6.QtCore import QTimer
from pytestqt.qtbot import QtBot

from app.desktop.turns import Turns
from app.desktop.worker import Worker
from app.errors import BadInputError


def unexpected(what: object) -> None:
    raise AssertionError(what)


@pytest.fixture
def worker(qapp: object) -> Iterator[Worker]:  # noqa: ARG001  threads need the application
    made = Worker()
    yield made
    made.close()


def test_work_is_done_elsewhere_and_the_answer_comes_home(qtbot: QtBot, worker: Worker) -> None:
    answers: list[tuple[int, int]] = []
    worker.ask(
        "where",
        threading.get_ident,
        then=lambda ident: answers.append((ident, threading.get_ident())),
        refused=unexpected,
    )
    qtbot.waitUntil(lambda: bool(answers))
    done_in, told_in = answers[0]
    assert done_in != threading.get_ident()
    assert told_in == threading.get_ident()


def test_of_one_topic_only_the_latest_question_is_answered(qtbot: QtBot, worker: Worker) -> None:
    gate = threading.Event()
    done: list[str] = []
    answers: list[str] = []

    def slow() -> str:
        gate.wait(5)
        done.append("first")
        return "first"

    def second() -> str:
        done.append("second")
        return "second"

    worker.ask("find", slow, then=answers.append, refused=unexpected)
    worker.ask("find", second, then=answers.append, refused=unexpected)
    worker.ask("find", lambda: "third", then=answers.append, refused=unexpected)
    gate.set()
    qtbot.waitUntil(lambda: bool(answers))
    assert answers == ["third"]
    assert "second" not in done  # not even begun: somebody had asked again


def test_the_window_goes_first(qtbot: QtBot, worker: Worker) -> None:
    order: list[str] = []
    turns = Turns()
    worker.ask("find", lambda: order.append("work"), then=lambda _: None, refused=unexpected)
    turns.take([lambda: order.append("paint")] * 4)
    qtbot.waitUntil(lambda: "work" in order)
    assert order == ["paint"] * 4 + ["work"]


def test_a_refusal_is_told_to_whoever_asked(qtbot: QtBot, worker: Worker) -> None:
    told: list[str] = []

    def refuse() -> None:
        raise BadInputError("take", "no such take", given="7")

    worker.ask("open", refuse, then=unexpected, refused=lambda error: told.append(str(error)))
    qtbot.waitUntil(lambda: bool(told))
    assert told == ["take: no such take: given 7"]
    assert not worker.is_busy


def test_a_defect_is_seen_and_still_answered(qtbot: QtBot, worker: Worker) -> None:
    told: list[str] = []
    with qtbot.captureExceptions() as seen:
        worker.ask(
            "open", lambda: 1 / 0, then=unexpected, refused=lambda error: told.append(str(error))
        )
        qtbot.waitUntil(lambda: bool(told) and bool(seen))
    assert seen[0][0] is ZeroDivisionError
    assert told == ["open: stopped by a defect of Dustcap"]


def test_what_is_forgotten_is_never_answered(qtbot: QtBot, worker: Worker) -> None:
    answers: list[int] = []
    worker.ask("a", lambda: 1, then=answers.append, refused=unexpected)
    worker.forget("a")
    worker.ask("b", lambda: 2, then=answers.append, refused=unexpected)
    qtbot.waitUntil(lambda: bool(answers))
    assert answers == [2]


def test_whoever_asks_in_every_turn_holds_nobody_up(qtbot: QtBot, worker: Worker) -> None:
    answers: list[str] = []
    turn = QTimer(worker, interval=0)
    turn.timeout.connect(
        lambda: worker.ask("again", lambda: None, then=lambda _none: None, refused=unexpected)
    )
    worker.ask("once", lambda: "there", then=answers.append, refused=unexpected)
    turn.start()
    qtbot.waitUntil(lambda: answers == ["there"])


def test_what_follows_a_hand_is_answered_before_anything_is_painted(worker: Worker) -> None:
    answers: list[int] = []
    worker.ask(
        "follow", threading.get_ident, then=answers.append, refused=unexpected, patience_s=5.0
    )
    assert len(answers) == 1
    assert answers[0] != threading.get_ident()
    assert not worker.is_busy


def test_an_answer_that_was_waited_for_comes_once(qtbot: QtBot, worker: Worker) -> None:
    answers: list[str] = []
    worker.ask("follow", lambda: "one", then=answers.append, refused=unexpected, patience_s=5.0)
    worker.ask("else", lambda: "two", then=answers.append, refused=unexpected)
    qtbot.waitUntil(lambda: len(answers) > 1)
    assert answers == ["one", "two"]


def test_patience_ends_and_the_answer_comes_by_itself(qtbot: QtBot, worker: Worker) -> None:
    gate, answers = threading.Event(), list[bool]()
    worker.ask(
        "follow", lambda: gate.wait(5), then=answers.append, refused=unexpected, patience_s=0.001
    )
    assert not answers
    gate.set()
    qtbot.waitUntil(lambda: bool(answers))
    assert answers == [True]


def test_while_something_else_is_done_nobody_waits(qtbot: QtBot, worker: Worker) -> None:
    gate, answers = threading.Event(), list[str]()
    worker.ask("slow", lambda: gate.wait(5), then=lambda _: None, refused=unexpected)
    # It would wait for ever: the one thread is taken.
    worker.ask("follow", lambda: "told", then=answers.append, refused=unexpected, patience_s=1e6)
    gate.set()
    qtbot.waitUntil(lambda: bool(answers))
