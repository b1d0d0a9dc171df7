"""Plots of a stack share axis and cursor."""

import numpy as np
import pytest
from PySide6.QtCore import Qt
from pytestqt.qtbot import QtBot

from app.desktop.plots.frequency_plot import FrequencyPlot
from app.desktop.plots.line import LineRole, PlotLine
from app.desktop.plots.stack import PlotStack
from tests.app.desktop.plots import hand

HZ = np.geomspace(20, 20_000, 4)


@pytest.fixture
def stack(qtbot: QtBot) -> PlotStack:
    plots = [
        FrequencyPlot("Level", "dB re 20 µPa", right_unit="°"),
        FrequencyPlot("Impedance", "Ω"),
        FrequencyPlot("Distortion", "dB re fundamental", right_unit="%"),
    ]
    for plot, value in zip(plots, (87.0, 8.0, -40.0), strict=True):
        y = np.full(HZ.size, value)
        plot.set_lines([PlotLine(name="take 42", x=HZ, y=y, role=LineRole.TAKE)])
    made = PlotStack(plots, [46, 27, 31])
    qtbot.addWidget(made)
    made.resize(704, 560)
    made.show()
    return made


def test_frequencies_stand_below_each_other(stack: PlotStack) -> None:
    frames = [plot.canvas.frame() for plot in stack.plots]
    assert len({(frame.left, frame.width) for frame in frames}) == 1


def test_words_stand_under_the_last_plot_and_the_flag_in_the_first(stack: PlotStack) -> None:
    assert [plot.scene.has_x_words for plot in stack.plots] == [False, False, True]
    assert [plot.scene.has_flag for plot in stack.plots] == [True, False, False]
    stack.show_plot(2, shown=False)
    assert stack.plots[1].scene.has_x_words


def test_without_a_right_axis_the_curves_get_its_room(stack: PlotStack) -> None:
    before = stack.plots[1].canvas.frame().width
    stack.show_plot(0, shown=False)
    stack.show_plot(2, shown=False)
    assert stack.plots[1].canvas.frame().width > before


def test_a_cursor_in_one_plot_is_read_in_all(stack: PlotStack, qtbot: QtBot) -> None:
    canvas = stack.plots[1].canvas
    with qtbot.waitSignal(stack.cursor_moved) as told:
        hand.hover(canvas, canvas.frame().px_of(3.0), 60)
    assert told.args == [pytest.approx(1000)]
    assert stack.readout_text().splitlines() == [
        "Level at 1 kHz: take 42 87.0",
        "Impedance at 1 kHz: take 42 8.0",
        "Distortion at 1 kHz: take 42 −40.0",
    ]


def test_an_arrow_moves_it_by_a_24th_of_an_octave(stack: PlotStack) -> None:
    stack.set_cursor(1000)
    for _ in range(24):
        hand.key(stack.plots[2].canvas, Qt.Key.Key_Left)
    assert stack.cursor_hz == pytest.approx(500)


def test_setting_the_cursor_says_nothing(stack: PlotStack) -> None:
    told: list[float] = []
    stack.cursor_moved.connect(told.append)
    stack.set_cursor(1000, "1 kHz now")
    assert not told


def test_zoomed_in_one_plot_all_show_the_same_until_the_whole_is_asked_for(
    stack: PlotStack,
) -> None:
    hand.wheel(stack.plots[0].canvas, 300, 60, notches=2)
    spans = [plot.canvas.frame().x for plot in stack.plots]
    assert spans[0].length < 3
    assert spans[0] == spans[1] == spans[2]
    stack.whole_range()
    assert stack.plots[2].canvas.frame().x.length == pytest.approx(3)


def test_only_level_plots_keep_the_proportions(stack: PlotStack) -> None:
    impedance = stack.plots[1].canvas.frame().y
    stack.set_db_per_decade(50)
    assert stack.plots[1].canvas.frame().y == impedance
    assert stack.plots[0].scene.db_per_decade == 50
    stack.set_db_per_decade(None)
    assert stack.plots[0].scene.db_per_decade is None


def test_the_table_has_a_row_a_frequency_and_a_column_a_curve(stack: PlotStack) -> None:
    rows = [row.split("\t") for row in stack.table().splitlines()]
    assert rows[0] == [
        "Frequency, Hz",
        "Level, take 42, dB",
        "Impedance, take 42, Ω",
        "Distortion, take 42, dB",
    ]
    assert rows[2] == ["200.000", "87.00", "8.000", "-40.00"]
