"""A shaded span: where its ends lie, and that its words stand where there is room."""

import numpy as np
import pytest
from PySide6.QtGui import QColor
from pytestqt.qtbot import QtBot

from app.desktop.palette import tokens_of
from app.desktop.plots.frequency_plot import FrequencyPlot
from app.desktop.plots.shade import PlotShade
from app.desktop.plots.shade_area import words_left
from app.desktop.plots.write import width_of


@pytest.fixture
def plot(qtbot: QtBot) -> FrequencyPlot:
    made = FrequencyPlot("Level", "dB")
    qtbot.addWidget(made)
    made.resize(700, 260)
    made.show()
    return made


def test_between_its_ends_the_ground_is_darker_and_nowhere_else(plot: FrequencyPlot) -> None:
    plot.set_shades([PlotShade(low=300.0, high=3000.0)])
    image = plot.canvas.grab().toImage()
    frame = plot.canvas.frame()
    row = round(frame.top + frame.height * 0.37)  # on no line of the grid
    ground = QColor(tokens_of(plot).plot)

    def seen(hz: float) -> QColor:
        ratio = image.devicePixelRatio()
        x = round(frame.px_of(np.log10(hz)) * ratio)
        return image.pixelColor(x, round(row * ratio))

    assert seen(930.0).lightness() < ground.lightness()
    assert seen(170.0) == ground
    assert seen(6500.0) == ground


@pytest.mark.parametrize(
    ("low", "high", "where"),
    [(300.0, 3000.0, "inside"), (300.0, 400.0, "right"), (15_000.0, 20_000.0, "left")],
)
def test_words_stand_inside_else_beside(
    plot: FrequencyPlot, low: float, high: float, where: str
) -> None:
    words = "crossover 300 Hz to 3 kHz"
    frame = plot.canvas.frame()
    first, last = (frame.px_of(np.log10(hz)) for hz in (low, high))
    left = words_left(frame, PlotShade(low=low, high=high, words=words))
    right = left + width_of(words)
    assert frame.left <= left
    assert right <= frame.right_edge
    assert (first <= left and right <= last) == (where == "inside")
    assert (left >= last) == (where == "right")
    assert (right <= first) == (where == "left")
