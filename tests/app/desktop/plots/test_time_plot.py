"""A response over time, and its gate under mouse and keys."""

import numpy as np
import pytest
from PySide6.QtCore import Qt
from pytestqt.qtbot import QtBot

from app.desktop.plots.time_marks import Box
from app.desktop.plots.time_plot import TimePlot
from tests.app.desktop.plots import hand

T_MS = np.arange(-1, 20, 1 / 48)


@pytest.fixture
def plot(qtbot: QtBot) -> TimePlot:
    made = TimePlot("Gate", "", bare=True)
    qtbot.addWidget(made)
    made.resize(252, 104)
    made.set_trace(T_MS, np.exp(-np.abs(T_MS)))
    made.set_gate(0.0, 4.8)
    made.show()
    return made


def test_the_end_of_the_gate_is_dragged_and_told(plot: TimePlot) -> None:
    told: list[tuple[str, float, float]] = []
    plot.gate_dragged.connect(lambda a, b: told.append(("dragged", a, b)))
    plot.gate_released.connect(lambda a, b: told.append(("released", a, b)))
    there = plot.canvas.frame().px_of(6.0)
    hand.press(plot.canvas, plot.canvas.frame().px_of(4.8), 50)
    hand.move(plot.canvas, there, 50)
    hand.release(plot.canvas, there, 50)
    assert [event[0] for event in told] == ["dragged", "released"]
    assert [event[1:] for event in told] == [pytest.approx((0.0, 6.0))] * 2
    assert plot.readout_text() == "Gate, gate 6 ms"


def test_the_axis_stands_still_while_it_is_dragged(plot: TimePlot) -> None:
    before = plot.canvas.frame()
    hand.press(plot.canvas, before.px_of(4.8), 50)
    hand.move(plot.canvas, before.px_of(8.0), 50)
    assert plot.canvas.frame().x == before.x
    hand.release(plot.canvas, before.px_of(8.0), 50)
    assert plot.canvas.frame().x != before.x


def test_an_answer_does_not_pull_the_gate_out_of_a_hand(plot: TimePlot) -> None:
    hand.press(plot.canvas, plot.canvas.frame().px_of(4.8), 50)
    hand.move(plot.canvas, plot.canvas.frame().px_of(7.0), 50)
    plot.set_gate(0.0, 4.8)
    assert plot.gate is not None
    assert plot.gate[1] == pytest.approx(7.0)


def test_the_gate_never_ends_before_it_starts(plot: TimePlot) -> None:
    hand.press(plot.canvas, plot.canvas.frame().px_of(4.8), 50)
    hand.move(plot.canvas, -50, 50)
    assert plot.gate is not None
    assert plot.gate[1] > plot.gate[0]


def test_arrows_move_the_end_and_shift_ten_times_as_far(plot: TimePlot) -> None:
    hand.key(plot.canvas, Qt.Key.Key_Right)
    assert plot.gate is not None
    one = plot.gate[1] - 4.8
    plot.set_gate(0.0, 4.8)
    hand.key(plot.canvas, Qt.Key.Key_Right, Qt.KeyboardModifier.ShiftModifier)
    assert plot.gate[1] - 4.8 == pytest.approx(10 * one)


def test_beside_the_gate_nothing_is_taken(plot: TimePlot) -> None:
    told: list[object] = []
    plot.gate_dragged.connect(lambda *given: told.append(given))
    hand.press(plot.canvas, plot.canvas.frame().px_of(2.0), 50)
    hand.move(plot.canvas, plot.canvas.frame().px_of(3.0), 50)
    assert not told


def test_a_box_is_seen_whole_beside_its_trace(qtbot: QtBot) -> None:
    plot = TimePlot("Settling", "dB", x_unit="s")
    qtbot.addWidget(plot)
    plot.set_trace(np.array([0.0, 5.0]), np.array([94.0, 94.0]), name="input 1", value="94.00")
    plot.set_boxes([Box(start=1, end=4, low=93.95, high=94.05)])
    span = plot.canvas.frame().y
    assert span.low < 93.95
    assert span.high > 94.05
    assert plot.head.entries[0].value == "94.00"


def test_the_table_has_its_unit(plot: TimePlot) -> None:
    rows = plot.table().splitlines()
    assert rows[0] == "Time, ms\tGate"
    assert len(rows) == 1 + T_MS.size


def test_a_hand_that_trembles_on_the_handle_moves_nothing(plot: TimePlot) -> None:
    told: list[object] = []
    plot.gate_dragged.connect(lambda *given: told.append(given))
    plot.gate_released.connect(lambda *given: told.append(given))
    x = plot.canvas.frame().px_of(4.8)
    hand.press(plot.canvas, x + 4, 50)
    hand.move(plot.canvas, x + 5, 50)
    hand.release(plot.canvas, x + 5, 50)
    assert not told
    assert plot.gate == (0.0, 4.8)


def test_the_start_of_the_gate_is_the_arrival_and_stays(plot: TimePlot) -> None:
    x = plot.canvas.frame().px_of(0.0)
    hand.press(plot.canvas, x, 50)
    hand.move(plot.canvas, x + 30, 50)
    assert plot.gate == (0.0, 4.8)
