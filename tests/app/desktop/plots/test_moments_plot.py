"""A level over the time of a take: what was played when, and impulses that can be pressed."""

import numpy as np
import pytest
from PySide6.QtCore import Qt
from pytestqt.qtbot import QtBot

from app.desktop.plots.moments import Moment, MomentKind, Part
from app.desktop.plots.moments_plot import MomentsPlot
from tests.app.desktop.plots import hand


def _tone() -> Part:
    time_s = np.linspace(1.0, 1.5, 101)
    return Part(name="60 Hz", time_s=time_s, level=np.full(101, 30.0), drive_hz=np.full(101, 60.0))


def _sweep() -> Part:
    """From 20 Hz at 0.2 s up by a factor of e every 0.1 s."""
    time_s = np.linspace(0.2, 0.6, 81)
    return Part(
        name="sweep",
        time_s=time_s,
        level=np.full(81, 25.0),
        drive_hz=20.0 * np.exp((time_s - 0.2) / 0.1),
    )


@pytest.fixture
def plot(qtbot: QtBot) -> MomentsPlot:
    made = MomentsPlot("Over time", "dB")
    qtbot.addWidget(made)
    made.resize(600, 160)
    made.show()
    made.set_parts(
        (_sweep(), _tone()),
        moments=(
            Moment(time_s=1.1, level=50.0),
            Moment(time_s=1.3, level=45.0, kind=MomentKind.RINGING),
        ),
        left_out=((1.28, 1.34),),
    )
    return made


def test_a_frequency_is_shown_all_the_while_that_it_was_played(plot: MomentsPlot) -> None:
    plot.mark(60.0)
    swept, held = plot.scene.under_cursor()
    # 60 Hz is ln 3 tenths of a second into the sweep.
    assert swept[0] == swept[1] == pytest.approx(0.2 + 0.1 * np.log(3.0), abs=0.005)
    assert held == (1.0, 1.5)
    plot.mark(5000.0)
    assert plot.scene.under_cursor() == []


def test_the_pointer_tells_what_was_played_then(qtbot: QtBot, plot: MomentsPlot) -> None:
    frame = plot.canvas.frame()
    with qtbot.waitSignal(plot.cursor_moved) as told:
        hand.hover(plot.canvas, frame.px_of(0.4), frame.py_of(30.0))
    assert told.args is not None
    assert told.args[0] == pytest.approx(20 * np.e**2, rel=0.02)
    with qtbot.assertNotEmitted(plot.cursor_moved):  # nothing was played
        hand.hover(plot.canvas, frame.px_of(0.8), frame.py_of(30.0))


def test_a_press_chooses_an_impulse_or_a_time(qtbot: QtBot, plot: MomentsPlot) -> None:
    frame = plot.canvas.frame()
    with qtbot.waitSignal(plot.moment_pressed) as told:
        hand.press(plot.canvas, frame.px_of(1.3) + 3, frame.py_of(45.0) - 3)
    assert told.args == [1]
    with qtbot.waitSignal(plot.time_pressed) as at, qtbot.assertNotEmitted(plot.moment_pressed):
        hand.press(plot.canvas, frame.px_of(1.2), frame.py_of(35.0))
    assert at.args is not None
    assert at.args[0] == pytest.approx(1.2, abs=0.01)


def test_arrows_walk_from_impulse_to_impulse(qtbot: QtBot, plot: MomentsPlot) -> None:
    for key, place in ((Qt.Key.Key_Right, 0), (Qt.Key.Key_Right, 1), (Qt.Key.Key_Right, 1)):
        with qtbot.waitSignal(plot.moment_pressed) as told:
            hand.key(plot.canvas, key)
        assert told.args == [place]
        plot.choose(place)


def test_kinds_are_counted_in_the_head_and_listed_in_the_table(plot: MomentsPlot) -> None:
    told = {entry.name: entry.value for entry in plot.head.entries}
    assert told == {"clicks": "1", "ringing": "1", "left out": ""}
    assert plot.readout_text() == "Over time: clicks 1, ringing 1, left out"
    rows = plot.table().splitlines()
    assert rows[2] == "1.3000\t45.0\tringing"
    assert rows[5] == "0.2000\t20\t25.0"


def test_a_part_has_as_many_levels_as_times() -> None:
    with pytest.raises(ValueError, match="part"):
        Part(name="x", time_s=np.zeros(2), level=np.zeros(3), drive_hz=np.zeros(2))
