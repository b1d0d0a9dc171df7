"""The Line bay driven as an operator drives it: keys into the serial field, nothing else."""

from collections.abc import Iterator
from dataclasses import replace
from pathlib import Path

import pytest
from PySide6.QtCore import Qt
from PySide6.QtTest import QTest
from PySide6.QtWidgets import QApplication, QWidget
from pytestqt.qtbot import QtBot

from app.desktop.actions import Actions, held_in
from app.desktop.bays.line import LineBay
from app.desktop.bays.line_settings import LineSettings
from app.desktop.bench import Bench, Wired
from app.desktop.presenters.line_panel import Ground
from app.desktop.presenters.mark import Mark
from app.desktop.run_state import RunState
from app.measure.events import Entered, State
from app.procedure.shipped import demo_chain, find_procedure
from app.records.store import Store
from dsp.conformity.verdict import Verdict
from tests.app.desktop.engine_child import GONE
from tests.app.desktop.kept_engine import Engines
from tests.app.desktop.measure import made


def wired(**changes: object) -> Wired:
    return Wired(snapshot=made.virtual(**changes), file=None)


class Operator:
    """One person at the line: scans, types, reads the panel."""

    def __init__(self, qtbot: QtBot, bench: Bench, settings: LineSettings) -> None:
        self.qtbot, self.bench = qtbot, bench
        self.window = QWidget()
        self.actions = Actions(self.window, specs=held_in("line"))
        self.bay = LineBay(bench, self.actions, self.window, settings=settings)
        self.bay.resize(1280, 690)
        self.window.resize(1280, 690)
        qtbot.addWidget(self.window)
        self.window.show()
        self.window.activateWindow()
        qtbot.waitUntil(self.window.isActiveWindow)
        self.bay.entered()
        self.settle()

    def scan(self, serial: str) -> None:
        focused = QApplication.focusWidget()
        assert focused is not None
        QTest.keyClicks(focused, serial)
        QTest.keyClick(focused, Qt.Key.Key_Return)

    def measure(self, serial: str) -> None:
        with self.qtbot.waitSignal(self.bench.take_kept, timeout=20_000):
            self.scan(serial)
        self.settle()

    def ground(self) -> Ground:
        return self.bay.panel.state.ground

    def settle(self) -> None:
        self.qtbot.waitUntil(
            lambda: not (self.bench.run.is_active or self.bench.worker.is_busy), timeout=20_000
        )


@pytest.fixture
def bench(qapp: QApplication, tmp_path: Path) -> Iterator[Bench]:  # noqa: ARG001
    on = Bench(
        store=Store.open(tmp_path / "records.sqlite"),
        chain=Wired(snapshot=demo_chain(), file=None),
        procedure=find_procedure("line-check"),
    )
    yield on
    on.close()


@pytest.fixture
def settings(tmp_path: Path) -> LineSettings:
    return LineSettings(tmp_path / "line.ini")


@pytest.fixture
def operator(qtbot: QtBot, bench: Bench, settings: LineSettings) -> Operator:
    return Operator(qtbot, bench, settings)


def test_a_shift_of_three_units(operator: Operator) -> None:
    bay, bench = operator.bay, operator.bench
    assert bay.panel.state.words == ("Scan the", "next unit")
    QTest.keyClicks(bay.side.lot.box, "T4-W31")
    QTest.keyClick(bay.side.lot.box, Qt.Key.Key_Return)
    assert QApplication.focusWidget() is bay.side.serial.box

    operator.measure("T4-W31-0417")
    assert operator.ground() is Ground.GOOD
    assert bay.panel.state.serial == "T4-W31-0417"
    assert bay.side.serial.text() == ""
    assert bay.side.why.plot.lines

    bench.edit_chain(wired(faults={"weak_magnet": 0.6}), text="another unit")
    operator.measure("0418")  # the digits are enough by now
    assert operator.ground() is Ground.BAD
    assert bay.panel.state.serial == "T4-W31-0418"
    assert bay.panel.state.action == "Red rack."

    operator.measure("0418")  # again: a unit counts once
    assert [unit.mark for unit in bay.last_units.units] == [Mark.GOOD, Mark.BAD]
    counts = bench.store.unit_counts("T4-W31", procedure="line check")
    assert (counts.conforms, counts.does_not_conform) == (1, 1)
    assert bench.store.count(lot="T4-W31") == 3


def test_an_empty_enter_is_refused_beside_the_field(operator: Operator) -> None:
    operator.scan("")
    assert operator.bay.side.serial.refusal.startswith("Nothing was read.")
    assert operator.bench.store.count() == 0
    QTest.keyClicks(operator.bay.side.serial.box, "T")
    assert operator.bay.side.serial.refusal == ""


def test_a_scan_during_a_take_is_refused_and_the_next_replaces_it(operator: Operator) -> None:
    bay, bench = operator.bay, operator.bench
    with operator.qtbot.waitSignal(bench.take_kept, timeout=20_000):
        operator.scan("T4-W31-0417")
        assert bay.panel.state.mark is Mark.BUSY
        operator.scan("T4-W31-0418")
        assert "T4-W31-0418 was not used" in bay.side.serial.refusal
    operator.settle()
    operator.measure("T4-W31-0419")
    assert [one.unit for one in bench.store.find()] == ["T4-W31-0419", "T4-W31-0417"]


def test_the_button_measures_what_was_typed_and_empties_the_field(operator: Operator) -> None:
    QTest.keyClicks(operator.bay.side.serial.box, "T4-W31-0417")
    assert operator.bay.words.enabled
    with operator.qtbot.waitSignal(operator.bench.take_kept, timeout=20_000):
        operator.actions.of("line.measure").trigger()
        assert operator.bay.side.serial.text() == ""
    operator.settle()
    assert operator.bay.panel.state.serial == "T4-W31-0417"


def test_a_unit_of_another_lot_has_to_be_scanned_twice(operator: Operator) -> None:
    operator.bench.set_specimen(unit=None, lot="T4-W31")
    operator.measure("T4-W31-0417")
    operator.scan("T4-W30-0100")
    assert "units of it begin with T4-W31-" in operator.bay.side.serial.refusal
    assert operator.bench.store.count() == 1
    operator.measure("T4-W30-0100")
    assert operator.bench.store.count(serial="T4-W30-0100") == 1


def test_what_is_not_decided_is_measured_again_by_enter_alone(operator: Operator) -> None:
    # A limit exactly where the unit is: no guard band lets that be decided.
    value = made.good().take.numbers["sensitivity_db"].value
    loaded = operator.bench.procedure
    mask = loaded.procedure.masks["sensitivity"]
    near = mask.model_copy(update={"upper": value + 0.01, "guard": 1.0})
    procedure = loaded.procedure.model_copy(update={"masks": {"sensitivity": near}})
    operator.bench.edit_procedure(replace(loaded, procedure=procedure), text="guard")
    operator.measure("T4-W31-0417")
    assert operator.ground() is Ground.UNDECIDED
    assert operator.bay.panel.state.action == "Measure again."
    assert operator.bay.words.enabled
    operator.measure("")
    assert operator.bench.store.count(serial="T4-W31-0417") == 2
    assert operator.bay.panel.state.action == "Set it aside."


def test_stop_keeps_nothing_and_enter_begins_again(operator: Operator) -> None:
    bay, bench = operator.bay, operator.bench
    bench.edit_chain(wired(real_time=True), text="real time")

    def sounding(run: RunState) -> bool:
        return run.played_s > 0.1

    with operator.qtbot.waitSignal(bench.run_changed, timeout=20_000, check_params_cb=sounding):
        operator.scan("T4-W31-0417")
    with operator.qtbot.waitSignal(bench.run_stopped, timeout=5_000):
        bench.stop()
    operator.settle()
    assert bay.panel.state.words == ("Stopped",)
    assert bench.store.count() == 0
    bench.edit_chain(wired(real_time=False), text="as fast as it can")
    operator.measure("")
    assert bay.panel.state.serial == "T4-W31-0417"


def test_a_lost_card_is_told_and_f5_brings_it_back(operator: Operator, engines: Engines) -> None:
    bay, bench = operator.bay, operator.bench
    with (
        engines.suffering(GONE),
        operator.qtbot.waitSignal(bench.run_failed, timeout=20_000),
    ):
        operator.scan("T4-W31-0417")
    operator.settle()
    assert bay.panel.state.words == ("Sound card", "lost")
    assert bay.words.action == "look_again"
    operator.actions.of("look_again").trigger()
    assert bay.words.action == "line.measure"
    operator.measure("")
    assert operator.ground() is Ground.GOOD


def test_a_stale_chain_refuses_units_until_it_is_proved(operator: Operator) -> None:
    bay, bench = operator.bay, operator.bench
    bench.edit_chain(Wired(snapshot=made.stale().take.chain, file=None), text="an old chain")
    assert bay.panel.state.mark is Mark.STALE
    operator.scan("T4-W31-0417")
    assert "the microphone is stale" in bay.side.serial.refusal
    assert bench.store.count() == 0
    bench.undo_stack.undo()
    assert bay.panel.state.words == ("Scan the", "next unit")
    assert bay.side.serial.refusal == ""


def test_letters_reach_the_serial_field_wherever_the_focus_is(operator: Operator) -> None:
    bay = operator.bay
    bay.panel.setFocusPolicy(Qt.FocusPolicy.StrongFocus)
    bay.panel.setFocus()
    QTest.keyClick(bay.panel, Qt.Key.Key_T)
    assert bay.side.serial.text() == "t"
    assert QApplication.focusWidget() is bay.side.serial.box


def test_each_take_is_exported_where_that_was_asked_for(
    operator: Operator, settings: LineSettings, tmp_path: Path
) -> None:
    folder = tmp_path / "out"
    operator.bay.side.export.chosen.emit(folder)
    operator.measure("T4-W31-0417")
    (place,) = folder.iterdir()
    assert place.name.startswith("T4-W31-0417-")
    assert {file.name for file in place.iterdir()} >= {"numbers.csv", "masks.csv", "take.json"}
    assert "files written" in operator.bay.side.export.told
    assert LineSettings(tmp_path / "line.ini").exports
    operator.bay.side.export.chosen.emit(None)
    operator.measure("T4-W31-0418")
    assert len(list(folder.iterdir())) == 1
    assert settings.export_folder == folder


def test_an_export_that_fails_is_told_and_the_take_is_safe(
    operator: Operator, tmp_path: Path
) -> None:
    blocked = tmp_path / "file"
    blocked.write_text("in the way")
    operator.bay.side.export.chosen.emit(blocked)
    operator.measure("T4-W31-0417")
    assert operator.bay.side.export.told.startswith("Not exported:")
    assert operator.bench.store.count(verdict=Verdict.CONFORMS) == 1


def test_a_press_on_one_of_the_last_units_opens_it_in_measure(operator: Operator) -> None:
    operator.measure("T4-W31-0417")
    bay = operator.bay
    with operator.qtbot.waitSignal(bay.open_bay) as asked:
        place = bay.last_units.place(0).toPoint()
        QTest.mouseClick(bay.last_units, Qt.MouseButton.LeftButton, pos=place)
    assert asked.args == ["measure", operator.bench.store.find()[0].id]


def test_the_lot_of_the_newest_take_is_there_in_the_morning(
    qtbot: QtBot, bench: Bench, settings: LineSettings
) -> None:
    first = Operator(qtbot, bench, settings)
    bench.set_specimen(unit=None, lot="T4-W31")
    first.measure("T4-W31-0417")
    first.bay.left()
    bench.set_specimen(unit=None, lot=None)
    second = Operator(qtbot, bench, settings)
    assert bench.lot == "T4-W31"
    assert second.bay.side.lot.text() == "T4-W31"


@pytest.mark.parametrize("phase", [State.CHECKING, State.PROBING, State.SOUNDING])
def test_what_makes_no_take_leaves_the_panel_as_it_is(operator: Operator, phase: State) -> None:
    before = operator.bay.panel.state
    operator.bench._set_run(RunState(phase=phase, whole_s=1.0))
    assert operator.bay.panel.state == before
    assert operator.bay.words.happened == f"No take is made: {phase.value}."
    operator.bench._hear(Entered(state=State.STOPPED))
    assert operator.bay.panel.state == before
    assert operator.bay.words.happened.startswith("Procedure line check")
