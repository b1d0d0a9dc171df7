"""What happens on the bench is seen on the strip."""

import itertools
from dataclasses import replace
from datetime import datetime, tzinfo

import pytest
from pytestqt.qtbot import QtBot

from app.desktop.bench import Bench
from app.desktop.presenters.mark import Mark
from app.desktop.presenters.strip_state import LinkState, Wire
from app.desktop.run_state import Failure, RunState
from app.desktop.window import MainWindow
from app.measure.events import State
from tests.app.desktop.engine_child import GONE
from tests.app.desktop.kept_engine import Engines


def link(window: MainWindow, key: str) -> LinkState:
    state = window.strip.state
    assert state is not None
    return next(one for one in state.links if one.key == key)


def test_the_serial_on_the_bench_stands_on_the_strip(window: MainWindow, bench: Bench) -> None:
    bench.set_specimen(unit="T4-W31-0417", lot="T4-W31")
    assert link(window, "unit").value == "T4-W31-0417"
    assert "lot T4-W31" in link(window, "unit").health


def test_idle_inputs_are_heard(qtbot: QtBot, window: MainWindow) -> None:
    qtbot.waitUntil(lambda: bool(link(window, "input").live.fill), timeout=20_000)
    assert link(window, "output").live.text == "silent"


class _Hasty(datetime):
    """A clock on which a second passes with each look."""

    looks = itertools.count()

    @classmethod
    def now(cls, tz: tzinfo | None = None) -> "_Hasty":
        return cls(2026, 7, 29, 14, 36, next(cls.looks), tzinfo=tz)


def test_a_card_that_goes_away_is_seen_until_it_answers_again(
    qtbot: QtBot,
    window: MainWindow,
    bench: Bench,
    engines: Engines,
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    monkeypatch.setattr("app.desktop.bench.datetime", _Hasty)
    with engines.suffering(GONE):
        with qtbot.waitSignal(bench.run_failed, timeout=20_000) as failed:
            bench.play()
        assert failed.args is not None
        qtbot.waitUntil(lambda: link(window, "output").mark is Mark.BAD)
        assert link(window, "input").health.startswith("lost ")
        with qtbot.waitSignal(bench.idle_failed, timeout=20_000) as heard:
            bench.look_again()
        assert heard.args is not None
        assert heard.args[0].at == failed.args[0].at  # one loss, noticed twice
        assert link(window, "output").health == f"lost {failed.args[0].at}"
    assert window.isEnabled()
    bench.look_again()
    qtbot.waitUntil(lambda: link(window, "output").mark is Mark.GOOD, timeout=20_000)
    with qtbot.waitSignal(bench.take_kept, timeout=20_000):
        bench.play()


def test_a_sound_on_another_output_is_stopped_here_and_on_no_wire(
    window: MainWindow, bench: Bench
) -> None:
    before = link(window, "output").live
    sounding = RunState(phase=State.SOUNDING, whole_s=1.0, input_peak_dbfs=(-3.0,))
    bench._set_run(sounding)
    state = window.strip.state
    assert state is not None
    assert state.is_sounding
    assert link(window, "output").wire is not Wire.PLAYING
    assert link(window, "output").live == before
    gone = Failure(sentence="gone", card_lost=True, at="14:36:02", played_s=0.4)
    bench._set_run(replace(sounding, phase=State.FAILED))
    bench.run_failed.emit(gone)
    assert link(window, "output").mark is Mark.GOOD  # another card was lost
    assert window.strip.state is not None
    assert not window.strip.state.is_sounding
