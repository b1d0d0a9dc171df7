"""A microphone calibrated in the real window with a pistonphone, by keys and clicks.

What is found is held against the rig's own truth: the pistonphone of the rig gives 124.04 dB, its
certificate says so, and the rig's microphone has the sensitivity that its chain states.
"""

from collections.abc import Iterator
from pathlib import Path

import pytest
from PySide6.QtCore import QPoint, Qt
from PySide6.QtTest import QTest
from PySide6.QtWidgets import QApplication, QWidget
from pytestqt.qtbot import QtBot

from app.desktop.bays.chain import ChainBay
from app.desktop.bench import Bench, Wired
from app.desktop.panels.chain import devices
from app.desktop.panels.chain.calibrating import Calibrating
from app.desktop.presenters import calibrate_rig
from app.desktop.presenters.calibrate_phase import Phase
from app.desktop.presenters.mark import Mark
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
_CONTROL = Qt.KeyboardModifier.ControlModifier


class Seat:
    """The window with its Chain bay, and a person's hands."""

    def __init__(self, qtbot: QtBot, folder: Path) -> None:
        self.qtbot, self.file = qtbot, folder / "bench-3.toml"
        self.file.write_text(CHAIN, encoding="utf-8")
        chain = load_chain(self.file)
        settings = Settings(folder / "window.ini")
        settings.bay = "chain"
        self.window = MainWindow(settings, chain=chain.chain)
        self.bench = Bench(
            store=Store.open(folder / "records.sqlite"),
            chain=Wired(snapshot=chain, file=self.file),
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

    def press(
        self, key: Qt.Key, held: Qt.KeyboardModifier = Qt.KeyboardModifier.NoModifier
    ) -> None:
        QTest.keyClick(QApplication.focusWidget() or self.window, key, held)

    def click(self, widget: QWidget) -> None:
        QTest.mouseClick(widget, Qt.MouseButton.LeftButton, pos=QPoint(20, widget.height() // 2))

    def settle(self) -> None:
        self.qtbot.waitUntil(lambda: not self.bench.worker.is_busy, timeout=20_000)

    def reach(self, phase: Phase) -> None:
        self.qtbot.waitUntil(lambda: self.at.phase is phase, timeout=30_000)

    def open(self) -> None:
        self.press(Qt.Key.Key_K)
        self.qtbot.waitUntil(lambda: self.bay.is_calibrating, timeout=20_000)

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


@pytest.fixture
def seat(qtbot: QtBot, tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Iterator[Seat]:
    monkeypatch.setattr(devices, "_look", lambda: ())
    made = Seat(qtbot, tmp_path)
    qtbot.addWidget(made.window)
    yield made
    made.window.close()


def test_a_pistonphone_is_heard_by_itself_kept_and_undone(seat: Seat) -> None:
    assert seat.window.row.primary.text() == "Calibrate"
    seat.click(seat.window.row.primary)
    seat.reach(Phase.ACCEPTED)
    seat.type("level_db", "124.04")
    seat.click(seat.at.form_panel.papers)
    seat.type("certificate", "K-2026-114")
    seat.reach(Phase.ACCEPTED)
    found = seat.at.seen.value
    assert float(found.value) == pytest.approx(TRUE_MV_PER_PA, abs=0.1)
    assert found.interval.startswith("±")
    assert {one.name for one in found.checks} >= {"its frequency", "settled", "its level"}
    assert {one.mark for one in found.checks} == {Mark.GOOD}
    assert not seat.records  # nothing is written before Keep
    assert seat.file.read_text() == CHAIN
    seat.at.seen.trace.setFocus()
    seat.press(Qt.Key.Key_Return)
    seat.qtbot.waitUntil(lambda: not seat.bay.is_calibrating, timeout=20_000)
    seat.qtbot.waitUntil(lambda: "It stands in bench-3.toml" in seat.said, timeout=20_000)
    assert len(seat.records) == 1
    record = seat.records[0]
    assert record.accepted
    assert record.instrument.certificate == "K-2026-114"
    assert len(record.captures) == 1
    assert load_chain(seat.file) == seat.bench.chain
    assert "# by the last pistonphone" in seat.file.read_text()
    assert seat.bench.undo_stack.undoText() == "calibrate the microphone"
    assert seat.sensitivity != 0.0125
    seat.press(Qt.Key.Key_Z, _CONTROL)
    assert seat.sensitivity == 0.0125


def test_several_couplings_count(seat: Seat) -> None:
    seat.open()
    seat.reach(Phase.ACCEPTED)
    first = seat.at.follows.budget.facts[-1].value
    for count in (2, 3):
        seat.press(Qt.Key.Key_A)
        assert seat.at.phase is Phase.HEARING
        seat.reach(Phase.ACCEPTED)
        assert seat.at.couplings == count
    assert "3 couplings" in seat.said
    assert float(seat.at.follows.budget.facts[-1].value) <= float(first)
    seat.press(Qt.Key.Key_Return)
    seat.qtbot.waitUntil(lambda: len(seat.records) == 1, timeout=20_000)
    assert len(seat.records[0].captures) == 3


def test_a_leak_is_refused_kept_as_such_and_another_try_mends_it(seat: Seat) -> None:
    seat.open()
    seat.reach(Phase.ACCEPTED)
    seat.put_on(calibrate_rig.LEAKS)
    seat.press(Qt.Key.Key_A)
    seat.reach(Phase.REFUSED)
    assert seat.said.startswith("Refused: ")
    assert "Nothing changed. Next: seat the coupler and press Again." in seat.said
    assert not seat.at._keep.isEnabled()
    seat.qtbot.waitUntil(lambda: len(seat.records) == 1, timeout=20_000)
    assert not seat.records[0].accepted
    assert seat.file.read_text() == CHAIN
    seat.press(Qt.Key.Key_Return)  # keeps nothing
    assert seat.at.phase is Phase.REFUSED
    seat.qtbot.waitUntil(lambda: bool(seat.at.seen.drift.scene.notes), timeout=20_000)
    seat.qtbot.waitUntil(lambda: "calibration refused" in seat.tile, timeout=20_000)
    seat.put_on(calibrate_rig.WELL)
    seat.press(Qt.Key.Key_A)
    seat.reach(Phase.ACCEPTED)
    assert seat.at.couplings == 1


def test_another_level_than_named_is_refused_with_what_it_reads_as(seat: Seat) -> None:
    seat.open()
    seat.reach(Phase.ACCEPTED)
    nominal = seat.at.form_panel.nominal
    nominal.chosen.emit("pistonphone 114 250")
    seat.reach(Phase.REFUSED)
    assert "level reads as 124 dB where 114 dB was named" in seat.said
    nominal.chosen.emit("pistonphone 124 250")  # the same recording, looked at again
    seat.reach(Phase.ACCEPTED)


def test_esc_leaves_a_field_then_the_calibration_and_changes_nothing(seat: Seat) -> None:
    seat.open()
    seat.reach(Phase.ACCEPTED)
    seat.at.form_panel.fields["serial"].box.setFocus()
    seat.press(Qt.Key.Key_Escape)
    assert seat.at.is_open
    seat.press(Qt.Key.Key_Escape)
    assert seat.at.phase.value == "closed"
    assert not seat.records
    assert seat.bench.undo_stack.count() == 0
    assert seat.file.read_text() == CHAIN
    assert not seat.window.actions_table.of("keep").isEnabled()  # Enter is the fields' again


def test_what_cannot_be_is_refused_beside_its_field(seat: Seat) -> None:
    seat.open()
    seat.reach(Phase.ACCEPTED)
    seat.type("pressure_kpa", "1002")
    assert seat.at.phase is Phase.NOT_READY
    assert "allowed 50 to 110" in seat.at.form_panel.fields["pressure_kpa"].refusal
    assert "pressure outside" in seat.said
    seat.type("pressure_kpa", "100.2")
    seat.reach(Phase.ACCEPTED)
