"""A Measure bay on a bench in software, in a window of its own."""

from dataclasses import dataclass
from pathlib import Path

from PySide6.QtCore import QPoint, Qt
from PySide6.QtTest import QTest
from PySide6.QtWidgets import QApplication, QVBoxLayout, QWidget
from pytestqt.qtbot import QtBot

from app.desktop.actions import Actions
from app.desktop.bays.measure import MeasureBay
from app.desktop.bench import Bench, Wired
from app.desktop.controls.field import Field
from app.desktop.fonts import load_fonts
from app.desktop.presenters.bay_words import BayWords
from app.desktop.presenters.measure_scene import PlotName
from app.desktop.style import dress
from app.procedure.edit_excitation import with_typed
from app.procedure.shipped import demo_chain, find_procedure
from app.records.store import Store


@dataclass
class Desk:
    """What a test holds in its hands; ``said`` collects the words of the bay."""

    qtbot: QtBot
    window: QWidget
    actions: Actions
    bench: Bench
    bay: MeasureBay
    said: list[BayWords]

    def do(self, action: str) -> None:
        """Trigger an action, as its key would."""
        self.actions.of(action).trigger()

    def come_to_front(self) -> None:
        """Give the window the keyboard: keys of actions need it."""
        self.window.activateWindow()
        self.qtbot.waitUntil(self.window.isActiveWindow)

    def settle(self) -> None:
        """Wait until the worker has nothing left to do and everything is painted."""
        bench, presenting = self.bench, self.bay.presenting
        self.qtbot.waitUntil(
            lambda: not (bench.worker.is_busy or presenting.is_painting), timeout=20_000
        )
        QApplication.processEvents()

    def make_take(self, unit: str = "T4-W31-0417") -> str:
        """Play one take through; return its id."""
        self.bench.set_specimen(unit=unit, lot="T4-W31")
        with self.qtbot.waitSignal(self.bench.take_kept, timeout=30_000) as told:
            self.bench.play()
        self.qtbot.waitUntil(lambda: not self.bench.run.is_active, timeout=20_000)
        self.settle()
        assert told.args
        return str(told.args[0].take.id)

    def type_into(self, field: QWidget, text: str) -> None:
        """Replace what stands in a field, and press Enter."""
        self.come_to_front()
        box = field.focusProxy() or field
        box.setFocus()
        QTest.keyClick(box, Qt.Key.Key_A, Qt.KeyboardModifier.ControlModifier)
        QTest.keyClick(box, Qt.Key.Key_Delete)
        QTest.keyClicks(box, text)
        QTest.keyClick(box, Qt.Key.Key_Return)
        self.settle()

    def close(self) -> None:
        """Put everything away."""
        self.bench.close()
        self.window.close()
        self.window.deleteLater()

    def drag(self, canvas: QWidget, *, start: QPoint, end: QPoint) -> None:
        """Drag with the left button, in a few moves."""
        left = Qt.MouseButton.LeftButton
        QTest.mousePress(canvas, left, Qt.KeyboardModifier.NoModifier, start)
        for part in (0.3, 0.6, 1.0):
            at = start + (end - start) * part
            QTest.mouseMove(canvas, at)
            QApplication.processEvents()
        QTest.mouseRelease(canvas, left, Qt.KeyboardModifier.NoModifier, end)
        self.settle()


def open_desk(qtbot: QtBot, app: QApplication, *, place: Path) -> Desk:
    """Stand a bay on a bench with a store; its window has the height of 1280 × 800."""
    load_fonts()
    dress(app, dark=False)
    window = QWidget()
    actions = Actions(window)
    actions.of("stop").setShortcuts([])  # a filter of the window's has Esc
    bench = Bench(
        store=Store.open(place),
        chain=Wired(snapshot=demo_chain(), file=None),
        # The rig takes as long as what it plays.
        procedure=with_typed(find_procedure("line-check"), "time", "0.4"),
    )
    bay = MeasureBay(bench, actions)
    said: list[BayWords] = []
    bay.said.connect(said.append)
    lines = QVBoxLayout(window)
    lines.setContentsMargins(0, 0, 0, 0)
    lines.addWidget(bay)
    window.resize(1280, 636)  # less chain strip and row of bays
    window.show()
    bay.entered()
    made = Desk(qtbot=qtbot, window=window, actions=actions, bench=bench, bay=bay, said=said)
    made.settle()
    return made


def field(desk: Desk, name: str) -> Field:
    """Return a field of the excitation card."""
    editor = desk.bay.set_up.excitation.editor(name)
    assert isinstance(editor, Field)
    return editor


def names(desk: Desk, plot: PlotName) -> list[str]:
    """Return the names of a plot's curves."""
    shown = desk.bay.plots.plot(plot)
    assert shown is not None
    return [line.name for line in shown.lines]
