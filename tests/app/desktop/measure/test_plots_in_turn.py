"""Another scene is painted plot by plot; whoever looks before sees all of it."""

import pytest
from pytestqt.qtbot import QtBot

from app.desktop.panels.measure.plots import Plots
from app.desktop.plots.frequency_plot import FrequencyPlot
from app.desktop.presenters.measure_scene import PlotName, Scene

EMPTY = Scene(shown=(), masks={}, level_unit="dB")
NAMES = [PlotName.LEVEL.value, PlotName.IMPEDANCE.value, PlotName.DISTORTION.value]


@pytest.fixture
def painted(monkeypatch: pytest.MonkeyPatch) -> list[str]:
    """Titles of plots in the order in which they got something to show."""
    told: list[str] = []
    put = FrequencyPlot.set_words

    def noted(self: FrequencyPlot, title: str, unit: str) -> None:
        told.append(title)
        put(self, title, unit)

    monkeypatch.setattr(FrequencyPlot, "set_words", noted)
    return told


def test_one_plot_at_once_and_the_others_in_turns_of_their_own(
    qtbot: QtBot, painted: list[str]
) -> None:
    plots = Plots()
    qtbot.addWidget(plots)
    plots.set_scene(EMPTY)
    assert painted == NAMES[:1]
    qtbot.waitUntil(lambda: painted == NAMES)


def test_a_newer_scene_takes_the_place_of_one_half_painted(
    qtbot: QtBot, painted: list[str]
) -> None:
    plots = Plots()
    qtbot.addWidget(plots)
    plots.set_scene(EMPTY)
    plots.set_scene(EMPTY)
    qtbot.waitUntil(lambda: len(painted) == 1 + len(NAMES))
    assert painted == [NAMES[0], *NAMES]


def test_whoever_looks_before_sees_all_of_it(qtbot: QtBot, painted: list[str]) -> None:
    plots = Plots()
    qtbot.addWidget(plots)
    plots.set_scene(EMPTY)
    plots.table()
    assert painted == NAMES
    painted.clear()
    plots.set_scene(EMPTY)
    assert plots.plot(PlotName.DISTORTION) is not None
    assert painted == NAMES


def test_plots_that_stand_as_before_are_not_painted_anew(
    qtbot: QtBot, monkeypatch: pytest.MonkeyPatch
) -> None:
    plots = Plots()
    qtbot.addWidget(plots)
    plots.set_scene(EMPTY)
    stack = plots.stack
    redrawn: list[FrequencyPlot] = []
    for plot in stack.plots:
        monkeypatch.setattr(plot.canvas, "redraw", lambda plot=plot: redrawn.append(plot))
    stack.align()
    assert not redrawn
    stack.plots[-1].setVisible(False)
    stack.align()
    assert redrawn == [stack.plots[-2]]  # the words of the axis come to it
