"""A defect of ours is logged with its trace and told in one line; nothing dies of it."""

import logging
import threading
from pathlib import Path

import pytest
from pytestqt.qtbot import QtBot

from app.desktop.defects import Defects, open_log


@pytest.fixture
def log(tmp_path: Path) -> Path:
    return tmp_path / "logs" / "dustcap.log"


def raised() -> ValueError:
    try:
        raise ValueError("no such thing")
    except ValueError as error:
        return error


def test_it_is_logged_with_its_trace_and_told(qtbot: QtBot, log: Path) -> None:
    handler = open_log(log)
    defects, error = Defects(), raised()
    try:
        with qtbot.waitSignal(defects.happened) as told:
            defects.hear(ValueError, error, error.__traceback__)
    finally:
        logging.getLogger("dustcap").removeHandler(handler)
        handler.close()
    assert told.args == ["ValueError: no such thing"]
    assert 'raise ValueError("no such thing")' in log.read_text()


def test_one_of_another_thread_is_told_in_the_thread_of_the_window(
    qtbot: QtBot, monkeypatch: pytest.MonkeyPatch
) -> None:
    defects = Defects()
    monkeypatch.setattr("sys.excepthook", None)
    monkeypatch.setattr("threading.excepthook", None)
    defects.watch()
    heard_in: list[threading.Thread] = []
    defects.happened.connect(lambda _: heard_in.append(threading.current_thread()))

    def fail() -> None:
        raise ValueError("elsewhere")

    with qtbot.waitSignal(defects.happened):
        threading.Thread(target=fail).start()
    assert heard_in == [threading.main_thread()]


def test_a_log_that_cannot_be_written_stops_nothing(tmp_path: Path) -> None:
    (tmp_path / "logs").write_text("a file where a folder should be")
    handler = open_log(tmp_path / "logs" / "dustcap.log")
    assert isinstance(handler, logging.NullHandler)
