"""What is copied from plots has its unit in the head and no more places than its interval says."""

import numpy as np
import pytest
from pytestqt.qtbot import QtBot

from app.desktop.plots.frequency_plot import FrequencyPlot
from app.desktop.plots.line import LineRole, PlotLine


@pytest.fixture
def plot(qtbot: QtBot) -> FrequencyPlot:
    made = FrequencyPlot("Level", "dB re 20 µPa, 1 m", right_unit="°")
    qtbot.addWidget(made)
    hz = np.array([100.0, 200.0, 400.0])
    level = PlotLine(
        name="take 42",
        x=hz,
        y=np.array([86.4327, 87.0, np.nan]),
        role=LineRole.TAKE,
        # Two digits of an interval are what is told (JCGM 100:2008, 7.2.6).
        interval=np.array([0.2024, 4.4, np.nan]),
    )
    bare = PlotLine(name="41", x=hz, y=np.array([86.4327, -0.001, 90.0]), role=LineRole.OVERLAY)
    phase = PlotLine(
        name="phase", x=hz, y=np.array([170.098, 0.0, -1.25]), role=LineRole.PHASE, right=True
    )
    made.set_lines((level, bare, phase))
    return made


def test_heads_name_the_unit_and_values_are_as_wide_as_their_interval(plot: FrequencyPlot) -> None:
    rows = [row.split("\t") for row in plot.table().splitlines()]
    assert rows == [
        [
            "Frequency, Hz",
            "Level, take 42, dB",
            "Level, take 42, interval, dB",
            "Level, 41, dB",
            "Level, phase, °",
        ],
        ["100.000", "86.43", "0.20", "86.43", "170.1"],
        ["200.000", "87.0", "4.4", "0.00", "0.0"],
        ["400.000", "", "", "90.00", "-1.2"],
    ]
