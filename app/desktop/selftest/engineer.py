"""The engineer's story: a new unit on the baffle, played, read, compared, gated, exported."""

import math
from functools import partial

from PySide6.QtCore import QPointF, Qt
from PySide6.QtWidgets import QLineEdit, QMessageBox

from app.desktop.bays.measure import MeasureBay
from app.desktop.controls.facts_table import FactsTable
from app.desktop.plots.frequency_plot import FrequencyPlot
from app.desktop.presenters.strip_state import Wire
from app.desktop.selftest.hands import Hands, StoryBrokeError
from app.desktop.selftest.near_field import keep_merged, play_near, read_merged
from app.desktop.selftest.stage import LOT, Stage

_SERIAL = f"{LOT}-0417"
_GATE_MS = 5.0
_A_PIXEL = 0.015  # of a frequency
_QUIET_V = "0.2"
_DIAMETERS = {"Cone": "92", "Surround": "116"}  # mm


def tell_engineer(hands: Hands, stage: Stage) -> None:
    """Play the story.

    Raises
    ------
    StoryBrokeError
        A step did not come to what it should.
    """
    window = stage.window
    hands.press(Qt.Key.Key_2, Qt.KeyboardModifier.ControlModifier)
    bay = window.bay
    if not isinstance(bay, MeasureBay):
        raise StoryBrokeError("Ctrl 2 does not enter Measure")
    with hands.step("types the serial of the unit on the baffle"):
        _type_serial(hands, stage)
    with hands.step("presses the space bar, is asked about the noise once, and plays"):
        _begin(hands, stage)
    with hands.step("presses Esc: silence, and nothing is kept"):
        kept = stage.bench.store.count()
        hands.press(Qt.Key.Key_Escape)
        hands.wait("the run to stop", lambda: not stage.bench.run.is_active)
        if stage.bench.store.count() != kept:
            raise StoryBrokeError("a stopped take was kept")
    with hands.step("plays again: the wire fills, the take is kept and judged"):
        _play(hands, stage)
    with hands.step("reads level and impedance under the pointer"):
        _read(hands, bay)
    with hands.step("lays an earlier take over it"):
        before = len(_level(bay).lines)
        hands.press(Qt.Key.Key_2)
        hands.wait("a second curve", lambda: len(_level(bay).lines) > before)
    with hands.step(f"drags the gate to {_GATE_MS:g} ms: where the level is valid moves"):
        _drag_gate(hands, bay)
    with hands.step("lowers the level: parameters are those of small signals; plays"):
        _play_quietly(hands, stage)
    with hands.step("presses P: reads the parameters of the unit, and puts a scale to them"):
        read_parameters(hands, stage, bay)
    with hands.step("presses B: sees the unit in a box, and steps its volume"):
        _read_box(hands, stage, bay)
    with hands.step("puts the microphone before the cone, says so, and plays the near field"):
        play_near(hands, stage, bay)
    with hands.step("presses F: near and far field become one response, which is kept"):
        read_merged(hands, stage, bay)
        keep_merged(hands, stage, bay)
    with hands.step("exports what is shown"):
        target = stage.folder / "shown.svg"
        hands.name_file(target)
        hands.press(Qt.Key.Key_E)
        hands.wait("the file", target.is_file)


def _play_quietly(hands: Hands, stage: Stage) -> None:
    field = hands.find(QLineEdit, "Level", within=stage.window)
    hands.click(field)
    field.selectAll()
    hands.write(_QUIET_V)
    hands.press(Qt.Key.Key_Return)
    hands.wait("the prediction", lambda: not stage.bench.worker.is_busy)
    _play(hands, stage)


def read_parameters(hands: Hands, stage: Stage, bay: MeasureBay) -> None:
    """Go to the parameters of the shown take; type its cone, and take its pressure for a scale."""
    hands.press(Qt.Key.Key_P)
    hands.wait("a resonance", partial(_reads, bay.card.facts, "fs"))
    for name, typed in _DIAMETERS.items():
        field = hands.find(QLineEdit, name, within=stage.window)
        hands.click(field)
        hands.write(typed)
        hands.press(Qt.Key.Key_Return)
    bay.method_panel.kind.setFocus()
    hands.press(Qt.Key.Key_Down)
    hands.wait("the moving mass", partial(_reads, bay.card.facts, "Mms"))
    hands.wait("everything found", lambda: not stage.bench.worker.is_busy)
    bay.plots.stack.plots[0].setFocus()


def _read_box(hands: Hands, stage: Stage, bay: MeasureBay) -> None:
    hands.press(Qt.Key.Key_B)
    hands.wait("a prediction", partial(_reads, bay.box_results.response, "fc"))
    before = bay.box_results.response.facts
    hands.click(hands.find(QLineEdit, "Volume", within=stage.window))
    hands.press(Qt.Key.Key_Up)
    hands.wait("another one", lambda: bay.box_results.response.facts != before)
    hands.press(Qt.Key.Key_Return)
    hands.press(Qt.Key.Key_B)
    hands.wait("the curves again", bay.result.isVisible)


def _reads(table: FactsTable, name: str) -> bool:
    return any(fact.name == name and fact.value[:1].isdigit() for fact in table.facts)


def _type_serial(hands: Hands, stage: Stage) -> None:
    field = hands.find(QLineEdit, "Serial of the unit", within=stage.window)
    hands.click(field)
    field.selectAll()
    hands.write(_SERIAL)
    hands.press(Qt.Key.Key_Return)
    hands.wait("the serial on the strip", lambda: stage.bench.unit == _SERIAL)
    hands.press(Qt.Key.Key_Escape)  # leaves the field, so that keys act


def _begin(hands: Hands, stage: Stage) -> None:
    hands.press(Qt.Key.Key_Space)
    agree(hands, stage)
    hands.wait("sound", lambda: stage.bench.run.played_s > 0)


def agree(hands: Hands, stage: Stage) -> None:
    """Answer the question about the noise, if it is asked."""
    for box in stage.window.findChildren(QMessageBox):
        if box.isVisible():
            hands.press(Qt.Key.Key_Return)


def _play(hands: Hands, stage: Stage) -> None:
    kept = stage.bench.store.count()
    alive: list[bool] = []

    def look() -> None:  # at every report: on a busy machine the moment is short
        alive.append(_wire_is_alive(stage))

    stage.bench.run_changed.connect(look)
    hands.press(Qt.Key.Key_Space)
    hands.wait("the take to be kept", lambda: stage.bench.store.count() == kept + 1)
    stage.bench.run_changed.disconnect(look)
    if not any(alive):
        raise StoryBrokeError("the wire carried no level")
    hands.wait("the row to name it", lambda: stage.reads(_SERIAL) and stage.reads("kept"))


def _wire_is_alive(stage: Stage) -> bool:
    state = stage.window.strip.state
    if state is None or not state.is_sounding:
        return False
    entry = state.links[-1]
    return entry.wire is Wire.PLAYING and bool(entry.live.fill)


def _read(hands: Hands, bay: MeasureBay) -> None:
    plot, stack = _level(bay), bay.plots.stack
    for hz in (300.0, 1000.0):
        hands.hover(plot.canvas, at_hz(plot, hz))
        hands.wait("the cursor", partial(_is_at, bay, hz))
    hands.click(plot.canvas, at_hz(plot, 1000.0))
    # One cursor goes through all plots, and the arrow moves it by a 24th of an octave.
    hands.press(Qt.Key.Key_Right)
    hands.wait("a step to the right", partial(_is_at, bay, 1000 * 2 ** (1 / 24)))
    for name in ("Level", "Impedance"):
        if name not in stack.readout_text():
            raise StoryBrokeError(f"the readout leaves {name} out")


def at_hz(plot: FrequencyPlot, hz: float) -> QPointF:
    """Return a place of a plot's canvas, half-way up."""
    frame = plot.canvas.frame()
    return QPointF(frame.px_of(math.log10(hz)), frame.top + frame.height / 2)


def _is_at(bay: MeasureBay, wanted: float) -> bool:
    found = bay.plots.stack.cursor_hz
    return found is not None and abs(found / wanted - 1) < _A_PIXEL


def _level(bay: MeasureBay) -> FrequencyPlot:
    return bay.plots.stack.plots[0]


def _drag_gate(hands: Hands, bay: MeasureBay) -> None:
    plot = bay.set_up.gate.plot
    gate = plot.gate
    if gate is None:
        raise StoryBrokeError("no gate stands on the impulse response")
    frame = plot.canvas.frame()
    middle = frame.bottom / 2
    start = QPointF(frame.px_of(gate[1]), middle)
    hands.drag(plot.canvas, start, QPointF(frame.px_of(_GATE_MS), middle))
    hands.wait(
        "the field to follow",
        lambda: abs(float(bay.set_up.gate.gate.text() or 99) - _GATE_MS) < 0.5,
    )
