"""A figure over its takes: a dot can be chosen, limits and groups are seen."""

import numpy as np
import pytest
from PySide6.QtCore import Qt
from pytestqt.qtbot import QtBot

from app.desktop.plots.trend_data import TrendGroup, TrendLimits, TrendPoints
from app.desktop.plots.trend_plot import TrendPlot
from tests.app.desktop.plots import hand


@pytest.fixture
def plot(qtbot: QtBot) -> TrendPlot:
    made = TrendPlot("Sensitivity", "dB")
    qtbot.addWidget(made)
    made.resize(600, 260)
    made.set_points(
        TrendPoints(
            x=np.array([3.0, 1.0, 2.0]),
            y=np.array([88.0, 87.0, np.nan]),
            keys=("c", "a", "b"),
            interval=np.array([0.31, 0.31, 0.31]),
        )
    )
    made.show()
    return made


def test_a_press_on_a_dot_tells_its_key(plot: TrendPlot, qtbot: QtBot) -> None:
    frame = plot.scene.frame(plot.canvas.size().toSizeF())
    with qtbot.waitSignal(plot.point_pressed) as told:
        hand.press(plot.canvas, frame.px_of(3.0) + 3, frame.py_of(88.0) - 3)
    assert told.args == ["c"]


def test_a_press_beside_all_dots_tells_nothing(plot: TrendPlot) -> None:
    told: list[str] = []
    plot.point_pressed.connect(told.append)
    frame = plot.scene.frame(plot.canvas.size().toSizeF())
    hand.press(plot.canvas, frame.px_of(2.0), frame.py_of(87.5))
    assert not told


def test_arrows_go_along_the_axis_not_along_the_list(plot: TrendPlot) -> None:
    told: list[str] = []
    plot.point_pressed.connect(told.append)
    for _ in range(4):
        hand.key(plot.canvas, Qt.Key.Key_Right)
    assert told == ["a", "b", "c"]


def test_the_chosen_figure_is_read_out(plot: TrendPlot) -> None:
    plot.choose("a")
    assert plot.readout_text() == "Sensitivity: 87.0 ±0.3"
    assert plot.canvas.accessibleDescription() == "Sensitivity: 87.0 ±0.3"


def test_limits_are_seen_even_where_no_dot_is_near(plot: TrendPlot) -> None:
    plot.set_limits(TrendLimits(lower=80.0, upper=95.0))
    span = plot.scene.frame(plot.canvas.size().toSizeF()).y
    assert span.low < 80
    assert span.high > 95


def test_groups_reach_from_edge_to_edge(plot: TrendPlot) -> None:
    plot.set_groups([TrendGroup(low=0, high=2, word="W30"), TrendGroup(low=2, high=4, word="W31")])
    span = plot.scene.frame(plot.canvas.size().toSizeF()).x
    assert (span.low, span.high) == (0, 4)


def test_nothing_to_show_is_painted_all_the_same(qtbot: QtBot) -> None:
    plot = TrendPlot("Drift", "dB")
    qtbot.addWidget(plot)
    plot.resize(300, 120)
    plot.set_hint("Calibrations appear here.")
    assert not plot.to_image(1.0).isNull()


def test_as_many_keys_as_figures_are_needed() -> None:
    with pytest.raises(ValueError, match="shapes differ"):
        TrendPoints(x=np.zeros(2), y=np.zeros(2), keys=("a",))
