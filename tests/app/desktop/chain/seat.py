"""The window at its Chain bay on a rig, and a person's hands at it."""

from pathlib import Path

from PySide6.QtCore import QPoint, Qt
from PySide6.QtTest import QTest
from PySide6.QtWidgets import QApplication, QWidget
from pytestqt.qtbot import QtBot

from app.desktop.bays.chain import ChainBay
from app.desktop.bench import Bench, Wired
from app.desktop.panels.chain.calibrating import Calibrating
from app.desktop.presenters.calibrate_phase import Phase
from app.desktop.settings import Settings
from app.desktop.window import MainWindow
from app.procedure.shipped import find_procedure
from app.records.calibration_record import CalibrationRecord
from app.records.store import Store
from hardware.chain.load import load_chain

CHAIN = """\
name = "bench 3"   # beside the window
[device]
backend = "virtual"
[output.drive]
channel = 1
full_scale_v = 2.0
max_terminal_v_rms = 6.0
calibrated_on = 2026-10-01
[input.pressure]
channel = 1
full_scale_v = 2.0
full_scale_uncertainty_percent = 0.5
sensitivity_v_per_pa = 0.0125   # by the last pistonphone
sensitivity_uncertainty_db = 0.3
preamplifier_gain = 2.0
calibrated_on = 2026-01-12
recalibrate_after_days = 30
[ambient]
pressure_kpa = 100.2
[virtual]
unit = "T130"
seed = 417
[virtual.calibrator]
kind = "pistonphone"
level_db = 124.04
frequency_hz = 250.0
scatter_db = 0.02
"""
TRUE_MV_PER_PA = 12.5
# Nothing takes that long; a busy machine may, and nothing here is about time.
PATIENCE_MS = 90_000


class Seat:
    """The window with its Chain bay, and a person's hands."""

    def __init__(self, qtbot: QtBot, folder: Path, *, chain: str = CHAIN) -> None:
        self.qtbot, self.file = qtbot, folder / "bench-3.toml"
        self.file.write_text(chain, encoding="utf-8")
        snapshot = load_chain(self.file)
        settings = Settings(folder / "window.ini")
        settings.bay = "chain"
        self.window = MainWindow(settings, chain=snapshot.chain)
        self.bench = Bench(
            store=Store.open(folder / "records.sqlite"),
            chain=Wired(snapshot=snapshot, file=self.file),
            procedure=find_procedure("line-check"),
        )
        self.window.begin(self.bench)
        self.window.resize(1280, 800)
        self.window.show()
        self.window.activateWindow()
        qtbot.waitUntil(self.window.isActiveWindow)
        bay = self.window.bay
        assert isinstance(bay, ChainBay)
        self.bay = bay
        self.settle()

    @property
    def at(self) -> Calibrating:
        assert self.bay.calibrating is not None
        return self.bay.calibrating

    @property
    def said(self) -> str:
        return self.window.row.words.accessibleName()

    @property
    def tile(self) -> str:
        state = self.window.strip.state
        assert state is not None
        return next(link for link in state.links if link.key == "microphone").spoken

    @property
    def records(self) -> tuple[CalibrationRecord, ...]:
        return self.bench.store.calibrations(link="input.pressure")

    @property
    def sensitivity(self) -> float:
        assert self.bench.chain.chain.input.pressure is not None
        return self.bench.chain.chain.input.pressure.sensitivity_v_per_pa

    @property
    def found(self) -> float:
        """V/Pa of what is shown, not kept yet."""
        assert self.at._looked is not None
        return self.at._looked.found.results[0].value

    def press(
        self, key: Qt.Key, held: Qt.KeyboardModifier = Qt.KeyboardModifier.NoModifier
    ) -> None:
        QTest.keyClick(QApplication.focusWidget() or self.window, key, held)

    def click(self, widget: QWidget) -> None:
        QTest.mouseClick(widget, Qt.MouseButton.LeftButton, pos=QPoint(20, widget.height() // 2))

    def settle(self) -> None:
        self.qtbot.waitUntil(lambda: not self.bench.worker.is_busy, timeout=PATIENCE_MS)

    def reach(self, phase: Phase) -> None:
        self.qtbot.waitUntil(lambda: self.at.phase is phase, timeout=PATIENCE_MS)

    def open(self) -> None:
        self.press(Qt.Key.Key_K)
        self.qtbot.waitUntil(lambda: self.bay.is_calibrating, timeout=PATIENCE_MS)

    def type(self, key: str, text: str) -> None:
        box = self.at.form_panel.fields[key].box
        box.setFocus()
        box.selectAll()
        QTest.keyClick(box, Qt.Key.Key_Delete)
        QTest.keyClicks(box, text)
        QTest.keyClick(box, Qt.Key.Key_Return)

    def put_on(self, what: str) -> None:
        """Choose what sits on the rig's microphone, as its list does."""
        rig = self.at.form_panel.rig
        rig.set_key(what)
        rig.chosen.emit(what)
