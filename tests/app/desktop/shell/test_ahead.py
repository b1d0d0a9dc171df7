"""Bays are made before anybody enters them, a piece at a time, and whole when somebody does."""

from collections.abc import Iterator
from dataclasses import replace
from pathlib import Path

import pytest
from PySide6.QtWidgets import QLabel, QVBoxLayout
from pytestqt.qtbot import QtBot

from app.desktop.actions import BAYS, Actions
from app.desktop.ahead import Ahead
from app.desktop.bays.bay import Bay
from app.desktop.bench import Bench
from app.desktop.opening import Wanted
from app.desktop.settings import Settings
from app.desktop.start import Start
from app.desktop.window import MainWindow
from app.measure.events import State
from app.records.store import Store

PIECES = 4


class Piecemeal(Bay):
    """Four labels, one at a time."""

    def _pieces(self) -> Iterator[None]:
        lines = QVBoxLayout(self)
        self.labels: list[QLabel] = []
        for number in range(PIECES):
            yield
            self.labels.append(QLabel(str(number)))
            lines.addWidget(self.labels[-1])

    def entered(self) -> None:
        assert len(self.labels) == PIECES


def piecemeal(_name: str, bench: Bench, actions: Actions) -> Bay:
    return Piecemeal(bench, actions, at_once=False)


@pytest.fixture
def unbegun(qtbot: QtBot, settings: Settings, bench: Bench) -> Iterator[MainWindow]:
    made = MainWindow(settings, chain=bench.chain.chain, make=piecemeal)
    with qtbot.waitExposed(made):
        made.show()
    yield made
    made.close()
    bench.close()
    made.deleteLater()


def labels(window: MainWindow) -> list[int]:
    return [len(bay.findChildren(QLabel)) for bay in window.stack.findChildren(Piecemeal)]


def test_a_bay_made_at_once_is_whole(window: MainWindow, bench: Bench) -> None:
    assert len(Piecemeal(bench, window.actions_table).labels) == PIECES


def test_the_first_bay_is_made_before_it_begins_and_all_others_after(
    qtbot: QtBot, unbegun: MainWindow, bench: Bench
) -> None:
    made_first: list[list[int]] = []

    def begin() -> None:
        made_first.append(labels(unbegun))
        unbegun.begin(bench)

    Ahead(unbegun, bench, first="limits", then=begin)
    assert unbegun.stack.count() == 0
    qtbot.waitUntil(lambda: labels(unbegun) == [PIECES] * len(BAYS))
    assert made_first == [[PIECES]]


def test_a_bay_entered_half_made_is_finished_and_stays_the_same(
    unbegun: MainWindow, bench: Bench
) -> None:
    unbegun.begin(bench)
    pieces = unbegun.pieces("records", bench)
    for _ in range(3):
        next(pieces)
    half = next(bay for bay in unbegun.stack.findChildren(Piecemeal) if bay is not unbegun.bay)
    assert 0 < len(half.labels) < PIECES
    unbegun.enter("records")
    assert unbegun.bay is half
    assert len(half.labels) == PIECES
    assert len(list(pieces)) <= 1  # nothing is made twice
    assert len(half.labels) == PIECES


def test_no_bay_is_made_while_a_take_is(
    qtbot: QtBot, unbegun: MainWindow, bench: Bench, monkeypatch: pytest.MonkeyPatch
) -> None:
    looked: list[int] = []
    plays = replace(bench.run, phase=State.PLAYING)

    class Playing:
        @property
        def run(self) -> object:
            looked.append(unbegun.stack.count())
            return plays

    ahead = Ahead(unbegun, bench, first="measure", then=lambda: None)
    monkeypatch.setattr(ahead, "_bench", Playing())
    qtbot.waitUntil(lambda: len(looked) > 3)
    assert not any(looked)


def test_a_window_left_before_its_first_bay_is_made_leaves_nothing_behind(
    qtbot: QtBot, settings: Settings, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    for hook in ("sys.excepthook", "threading.excepthook"):
        monkeypatch.setattr(hook, None)
    monkeypatch.setattr("app.desktop.ahead._REST_MS", 3_600_000)
    place = tmp_path / "new.sqlite"
    one = MainWindow(settings, make=piecemeal)
    start = Start(one, wanted=Wanted(store=str(place)))
    one.show()
    qtbot.waitUntil(lambda: one.findChild(Ahead) is not None, timeout=60_000)
    one.close()
    start.wait()
    assert one.bench is None
    Store.open(place).close()  # nobody holds it
    one.deleteLater()
