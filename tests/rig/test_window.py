"""The window on a card that PortAudio lists: it hears, measures, stops, and outlives its audio."""

import os
import signal
from collections.abc import Iterator
from pathlib import Path

import pytest
from PySide6.QtCore import Qt
from PySide6.QtTest import QTest
from PySide6.QtWidgets import QApplication
from pytestqt.qtbot import QtBot

from app.desktop.bench import Bench, Wired
from app.desktop.run_state import Failure, RunState
from app.desktop.settings import Settings
from app.desktop.window import MainWindow
from app.measure.events import State
from app.procedure.load import load_procedure
from app.records.store import Store
from hardware.chain.load import load_chain
from tests.rig.rig_device import CHAIN

PROCEDURE = """
name = "through the card"
[excitation]
kind = "log_sweep"
start_hz = 10
stop_hz = 20000
duration_s = 3.0
level_v_rms = 0.5
[masks.level]
quantity = "level"
upper = [[100, 100], [10000, 100]]
lower = [[100, 40], [10000, 40]]
"""
# The rig as a device is started for each test, a server with it: on a busy machine that takes long.
PATIENCE_MS = 60_000

pytestmark = pytest.mark.usefixtures("device")


@pytest.fixture
def window(qtbot: QtBot, tmp_path: Path) -> Iterator[MainWindow]:
    procedure, chain = tmp_path / "procedure.toml", tmp_path / "measuring.toml"
    procedure.write_text(PROCEDURE)
    chain.write_text(CHAIN.replace("DEVICE", 'name = "Tram Rig"'))
    wired = Wired(snapshot=load_chain(chain), file=chain)
    made = MainWindow(Settings(tmp_path / "window.ini"), chain=wired.snapshot.chain)
    bench = Bench(
        store=Store.open(tmp_path / "records.sqlite"),
        chain=wired,
        procedure=load_procedure(procedure),
    )
    made.begin(bench)
    made.enter("measure")
    made.show()
    made.activateWindow()
    qtbot.waitUntil(made.isActiveWindow)
    yield made
    made.close()
    made.deleteLater()


def bench_of(window: MainWindow) -> Bench:
    assert window.bench is not None
    return window.bench


def until_it_sounds(qtbot: QtBot, bench: Bench) -> None:
    def sounding(run: RunState) -> bool:
        return run.is_sounding and run.played_s > 0.1

    with qtbot.waitSignal(bench.run_changed, timeout=PATIENCE_MS, check_params_cb=sounding):
        bench.play()


def children(of: int, *, named: bytes) -> list[int]:
    found = []
    for stat in Path("/proc").glob("[0-9]*/stat"):
        try:
            fields = stat.read_text().rsplit(")", 1)[1].split()
            command = (stat.parent / "cmdline").read_bytes()
        except OSError:
            continue
        if int(fields[1]) == of and named in command:
            found.append(int(stat.parent.name))
    return found


def engines() -> list[int]:
    return children(os.getpid(), named=b"app.desktop.engine")


def audio_processes() -> list[int]:
    return [audio for engine in engines() for audio in children(engine, named=b"soundcard.child")]


def test_idle_inputs_are_heard_and_a_take_is_kept(qtbot: QtBot, window: MainWindow) -> None:
    bench = bench_of(window)
    with qtbot.waitSignal(bench.idle_levels, timeout=PATIENCE_MS):
        pass
    with qtbot.waitSignal(bench.take_kept, timeout=PATIENCE_MS):
        bench.play()
    assert bench.store.count() == 1
    assert "is kept" in window.row.words.accessibleName()


def test_escape_silences_the_card_and_keeps_nothing(qtbot: QtBot, window: MainWindow) -> None:
    bench = bench_of(window)
    until_it_sounds(qtbot, bench)
    with qtbot.waitSignal(bench.run_stopped, timeout=PATIENCE_MS):
        QTest.keyClick(QApplication.focusWidget() or window, Qt.Key.Key_Escape)
    assert bench.run.played_s < bench.run.whole_s - 0.5
    assert bench.store.count() == 0


def test_a_shot_audio_process_is_told_and_the_window_lives_on(
    qtbot: QtBot, window: MainWindow
) -> None:
    bench = bench_of(window)
    until_it_sounds(qtbot, bench)
    told: list[Failure] = []
    bench.run_failed.connect(told.append)
    for process in audio_processes():
        os.kill(process, signal.SIGKILL)
    qtbot.waitUntil(lambda: bool(told), timeout=PATIENCE_MS)
    assert bench.run.phase is State.FAILED
    assert told[0].card_lost
    said = window.row.words.accessibleName()
    assert "silent" in said
    assert "Next" in said
    assert bench.store.count() == 0
    window.enter("records")
    window.enter("measure")
    QTest.keyClick(window, Qt.Key.Key_F5)
    with qtbot.waitSignal(bench.take_kept, timeout=PATIENCE_MS):
        bench.play()
    assert bench.store.count() == 1


def test_the_card_falls_silent_with_a_shot_engine_and_the_next_take_has_another(
    qtbot: QtBot, window: MainWindow
) -> None:
    bench = bench_of(window)
    until_it_sounds(qtbot, bench)
    (engine,), (audio,) = engines(), audio_processes()
    with qtbot.waitSignal(bench.run_failed, timeout=PATIENCE_MS) as told:
        os.kill(engine, signal.SIGKILL)
    assert told.args
    assert told.args[0].sentence == "the process that measures ended by signal 9"
    assert "Next" in window.row.words.accessibleName()
    qtbot.waitUntil(lambda: not (Path("/proc") / str(audio)).exists(), timeout=PATIENCE_MS)
    assert bench.store.count() == 0
    with qtbot.waitSignal(bench.take_kept, timeout=PATIENCE_MS):
        bench.play()
    assert bench.store.count() == 1
