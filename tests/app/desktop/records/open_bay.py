"""The Records bay in a window of its own, over a store as a line leaves it."""

from dataclasses import dataclass
from pathlib import Path

from PySide6.QtCore import Qt
from PySide6.QtWidgets import QVBoxLayout, QWidget
from pytestqt.qtbot import QtBot

from app.desktop.actions import EVERYWHERE, Actions, held_in
from app.desktop.bays.records import RecordsBay
from app.desktop.bench import Bench, Wired
from app.desktop.panels.records.take_model import NUMBER
from app.procedure.shipped import demo_chain, find_procedure
from app.records.store import Store
from app.records.take import Take


@dataclass(slots=True, kw_only=True, eq=False)
class Open:
    """A window with the bay in it, entered, its list there."""

    bay: RecordsBay
    bench: Bench
    window: QWidget
    takes: list[Take]
    qtbot: QtBot

    def settle(self) -> None:
        self.qtbot.waitUntil(lambda: not self.bench.worker.is_busy, timeout=20_000)

    def key(self, key: Qt.Key, *, on: QWidget | None = None) -> None:
        self.qtbot.keyClick(on or self.bay.table, key)
        self.settle()

    def act(self, action: str) -> None:
        self.bay.actions_table.of(action).trigger()
        self.settle()

    def listed(self) -> list[int]:
        model = self.bay.model
        return [int(model.index(row, NUMBER).data()) for row in range(model.rowCount())]

    def number(self) -> int | None:
        return self.bay.record.number if self.bay.record else None


@dataclass(frozen=True, slots=True, kw_only=True)
class Filled:
    """A folder with a store, to be copied, and what was kept in it."""

    folder: Path
    takes: list[Take]


def opened(qtbot: QtBot, folder: Path, *, takes: list[Take]) -> Open:
    store = Store.open(folder / "records.sqlite")
    bench = Bench(
        store=store,
        chain=Wired(snapshot=demo_chain(), file=None),
        procedure=find_procedure("line-check"),
    )
    window = QWidget()
    window.resize(1280, 640)
    shared = Actions(window, specs=EVERYWHERE)
    shared.of("stop").setShortcuts([])  # Esc belongs to the window's own filter
    actions = Actions(window, specs=held_in("records"), shared=shared)
    bay = RecordsBay(bench, actions)
    QVBoxLayout(window).addWidget(bay)
    qtbot.addWidget(window)
    window.show()
    bay.entered()
    made = Open(bay=bay, bench=bench, window=window, takes=takes, qtbot=qtbot)
    made.settle()
    return made
