"""The engine ends in every way that there is: the window says so, lives on, and takes another."""

import os
import signal
import subprocess
import sys
import time
from collections.abc import Callable, Iterator
from pathlib import Path

import pytest
from pytestqt.qtbot import QtBot

from app.desktop import engine_link, runs
from app.desktop.bench import Bench, Wired
from app.desktop.engine_link import Link
from app.desktop.run_state import Failure, RunState
from app.measure.events import State
from app.procedure.shipped import demo_chain, find_procedure
from app.records.store import Store
from tests.app.desktop.engine_child import DEFECT
from tests.app.desktop.kept_engine import MODULE, Engines
from tests.app.desktop.test_bench import real_time

ROOT = Path(__file__).parents[4]


class Started:
    """Every engine that was started, one after the other."""

    def __init__(self) -> None:
        self.links: list[Link] = []
        self.module = MODULE

    def start(self) -> Link:
        self.links.append(Link(self.module))
        return self.links[-1]

    def send(self, to_do: signal.Signals) -> None:
        pid = self.links[-1].pid
        assert pid is not None
        os.kill(pid, to_do)


@pytest.fixture
def started(monkeypatch: pytest.MonkeyPatch) -> Started:
    made = Started()
    monkeypatch.setattr(engine_link, "start_engine", made.start)
    return made


@pytest.fixture
def bench(qapp: object, tmp_path: Path, started: Started) -> Iterator[Bench]:  # noqa: ARG001
    made = Bench(
        store=Store.open(tmp_path / "records.sqlite"),
        chain=Wired(snapshot=real_time(demo_chain()), file=None),
        procedure=find_procedure("line-check"),
    )
    yield made
    made.close()
    assert not any(link.alive for link in started.links)


def until_it_sounds(qtbot: QtBot, bench: Bench) -> None:
    def sounding(run: RunState) -> bool:
        return run.played_s > 0.1

    with qtbot.waitSignal(bench.run_changed, timeout=30_000, check_params_cb=sounding):
        bench.play()


def failure_of(qtbot: QtBot, bench: Bench, cause: Callable[[], None]) -> Failure:
    with qtbot.waitSignal(bench.run_failed, timeout=30_000) as told:
        cause()
    assert told.args
    failure = told.args[0]
    assert isinstance(failure, Failure)
    assert bench.run.phase is State.FAILED
    assert bench.store.count() == 0
    return failure


def test_killed_in_a_take_it_is_told_and_the_next_take_has_another(
    qtbot: QtBot, bench: Bench, started: Started
) -> None:
    until_it_sounds(qtbot, bench)
    failure = failure_of(qtbot, bench, lambda: started.send(signal.SIGKILL))
    assert failure.sentence == "the process that measures ended by signal 9"
    assert not failure.card_lost
    with qtbot.waitSignal(bench.take_kept, timeout=30_000):
        bench.play()
    assert len(started.links) == 2
    assert bench.store.count() == 1


def test_killed_after_a_take_is_kept_nothing_is_told_as_failed(
    qtbot: QtBot, bench: Bench, started: Started
) -> None:
    failures: list[Failure] = []
    bench.run_failed.connect(failures.append)
    bench.take_kept.connect(lambda _: started.send(signal.SIGKILL))  # before its end is told
    with qtbot.waitSignal(bench.take_kept, timeout=30_000):
        bench.play()
    qtbot.waitUntil(lambda: bench._runs._link is None)  # its end has been heard of
    with qtbot.waitSignal(bench.take_kept, timeout=30_000):
        bench.play()
    assert not failures
    assert bench.store.count() == 2


def test_killed_while_it_listens_another_listens_and_nobody_is_troubled(
    qtbot: QtBot, bench: Bench, started: Started
) -> None:
    troubles: list[Failure] = []
    bench.idle_failed.connect(troubles.append)
    with qtbot.waitSignal(bench.idle_levels, timeout=30_000):
        bench.listen(inputs=1)
    started.send(signal.SIGKILL)
    qtbot.waitUntil(lambda: len(started.links) == 2, timeout=30_000)
    with qtbot.waitSignal(bench.idle_levels, timeout=30_000):
        pass
    assert not troubles


def test_halted_it_does_not_stop_and_is_ended(
    qtbot: QtBot, bench: Bench, started: Started, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(runs, "_STOP_LIMIT_MS", 100)
    until_it_sounds(qtbot, bench)
    started.send(signal.SIGSTOP)
    failure = failure_of(qtbot, bench, bench.stop)
    assert failure.sentence.endswith("by signal 9")


def test_a_take_begun_as_another_has_stopped_is_not_ended_for_it(
    qtbot: QtBot, bench: Bench, started: Started, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(runs, "_STOP_LIMIT_MS", 100)
    until_it_sounds(qtbot, bench)
    bench.run_stopped.connect(bench.play)  # at once, before the first has quite ended
    with qtbot.waitSignal(bench.take_kept, timeout=30_000):
        bench.stop()
    assert len(started.links) == 1


def test_stopped_before_it_has_come_up_it_never_plays(qtbot: QtBot, bench: Bench) -> None:
    seen: list[RunState] = []
    bench.run_changed.connect(seen.append)
    with qtbot.waitSignal(bench.run_stopped, timeout=30_000):
        bench.play()
        bench.stop()
    assert not any(run.played_s > 0.1 for run in seen)
    assert bench.store.count() == 0


def test_one_that_cannot_start_is_told_once_and_fails_a_take(
    qtbot: QtBot, bench: Bench, started: Started
) -> None:
    started.module = "tests.app.desktop.no_such_module"
    with qtbot.waitSignal(bench.idle_failed, timeout=30_000) as told:
        bench.listen(inputs=1)
    assert told.args
    assert told.args[0].card_lost  # so that it is seen, and looking again is offered
    assert len(started.links) == 1
    failure = failure_of(qtbot, bench, bench.play)
    assert failure.sentence == "the process that measures ended with exit code 1"


def test_a_defect_in_it_is_seen_as_one_and_fails_the_take(
    qtbot: QtBot, bench: Bench, engines: Engines
) -> None:
    with engines.suffering(DEFECT), qtbot.captureExceptions() as seen:
        failure = failure_of(qtbot, bench, bench.play)
    assert str(seen[0][1]) == "ZeroDivisionError: a defect of the rig"
    assert "engine_child.py" in seen[0][1].__notes__[0]  # where it happened
    assert failure.sentence == "the process that measures ended with exit code 1"


WINDOW = """
import os, sys
from PySide6.QtCore import QCoreApplication, QTimer
from app.desktop.engine_link import Link
from app.desktop.engine.messages import Order, Report
from app.measure.listen import Ear
from app.procedure.shipped import demo_chain
app = QCoreApplication([])
link = Link()
link.told.connect(lambda told: os.kill(os.getpid(), 9) if told.kind is Report.HEARD else None)
print(link.pid, flush=True)
link.order(Order.LISTEN, Ear(chain=demo_chain()), number=link.next_number())
app.exec()
"""


def test_it_ends_with_a_window_that_is_killed() -> None:
    window = subprocess.run(
        [sys.executable, "-c", WINDOW], cwd=ROOT, stdout=subprocess.PIPE, text=True, check=False
    )
    assert window.returncode == -signal.SIGKILL
    pid, limit = int(window.stdout), time.monotonic() + 20
    while Path(f"/proc/{pid}").exists() and is_alive(pid):
        assert time.monotonic() < limit


def is_alive(pid: int) -> bool:
    try:
        return Path(f"/proc/{pid}/stat").read_text().rsplit(")", 1)[1].split()[0] != "Z"
    except OSError:
        return False
