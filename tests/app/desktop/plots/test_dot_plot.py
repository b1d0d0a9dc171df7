"""A dot a unit: none is hidden by another, none stands on the wrong side of zero."""

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from PySide6.QtCore import QPoint, QSizeF, Qt
from PySide6.QtGui import QColor
from pytestqt.qtbot import QtBot

from app.desktop.palette import tokens_of
from app.desktop.plots.dot_canvas import DotScene
from app.desktop.plots.dot_plot import DotPlot
from tests.app.desktop.plots import hand

SIZE = QSizeF(700, 210)


def scene(margins: list[float]) -> DotScene:
    made, of = DotScene(), np.array(margins)
    keys = tuple(str(index) for index in range(len(margins)))
    made.set_units(of, keys, fails=of < 0, conforms=of >= 0)
    return made


@settings(deadline=None)
@given(margins=st.lists(st.floats(-3, 5), min_size=1, max_size=300))
def test_every_unit_has_a_place_of_its_own_on_its_side(margins: list[float]) -> None:
    made = scene(margins)
    frame = made.frame(SIZE)
    x, y, _ = made.places(frame)
    assert len(set(zip(x.tolist(), y.tolist(), strict=True))) == len(margins)
    np.testing.assert_array_equal(x < frame.px_of(0.0), np.array(margins) < 0)
    assert np.all((y >= frame.top) & (y <= frame.bottom))


def test_a_pile_higher_than_the_plot_shrinks() -> None:
    made = scene([1.0] * 120)
    frame = made.frame(SIZE)
    _, y, pitch = made.places(frame)
    assert pitch < 6
    assert y.min() > frame.top


def test_a_unit_without_a_margin_has_no_dot() -> None:
    made = scene([1.0, float("nan")])
    assert np.isnan(made.places(made.frame(SIZE))[0]).tolist() == [False, True]
    assert made.counts == (0, 1, 1)
    assert made.without_margin == 1


@pytest.fixture
def plot(qtbot: QtBot) -> DotPlot:
    made = DotPlot("Margin", "dB")
    qtbot.addWidget(made)
    made.resize(700, 234)
    of = np.array([2.0, -1.0, 0.5])
    made.set_units(of, ["0417", "0188", "0342"], fails=of < 0, conforms=of >= 0)
    made.show()
    return made


def test_the_head_counts_both_kinds(plot: DotPlot) -> None:
    assert [(entry.name, entry.value) for entry in plot.head.entries] == [
        ("does not conform", "1"),
        ("conforms", "2"),
    ]


def test_what_is_not_decided_has_a_word_and_a_shape_of_its_own(plot: DotPlot) -> None:
    before = plot.grab().toImage()
    of = plot.scene.margins
    plot.set_units(of, plot.scene.keys, fails=of < -2, conforms=of >= 1)
    assert [(entry.name, entry.value) for entry in plot.head.entries] == [
        ("does not conform", "0"),
        ("not decided", "2"),
        ("conforms", "1"),
    ]
    x, y, _ = plot.scene.places(plot.scene.frame(plot.canvas.size().toSizeF()))
    after, yellow = plot.grab().toImage(), QColor(tokens_of(plot).att)
    top = plot.canvas.y()
    for index in (1, 2):
        at = QPoint(round(x[index]), round(y[index]) + top)
        assert after.pixelColor(at) == yellow != before.pixelColor(at)


def test_a_press_on_a_dot_tells_its_unit(plot: DotPlot, qtbot: QtBot) -> None:
    x, y, _ = plot.scene.places(plot.scene.frame(plot.canvas.size().toSizeF()))
    with qtbot.waitSignal(plot.dot_pressed) as told:
        hand.press(plot.canvas, x[1], y[1])
    assert told.args == ["0188"]


def test_arrows_go_from_the_worst_margin_up(plot: DotPlot) -> None:
    told: list[str] = []
    plot.dot_pressed.connect(told.append)
    for _ in range(3):
        hand.key(plot.canvas, Qt.Key.Key_Right)
    assert told == ["0188", "0342", "0417"]


def test_few_units_that_are_far_off_do_not_squeeze_the_rest() -> None:
    near = np.linspace(0.1, 0.3, 40)
    made = scene([*near, -4.0, -3.0])
    frame = made.frame(QSizeF(700, 200))
    assert frame.x.low > -1.0
    below, above = made.far_off(frame)
    assert sorted(below) == [-4.0, -3.0]
    assert above.size == 0
    x, _, _ = made.places(frame)
    # They stand at the end of the axis, still on the side of what does not conform.
    assert np.all(np.abs(x[-2:] - frame.left) < 10)
    assert np.ptp(x[:-2]) > 100


def test_units_that_are_a_little_off_stay_where_they_are() -> None:
    made = scene([*np.linspace(0.1, 0.3, 40), -0.4])
    below, above = made.far_off(made.frame(QSizeF(700, 200)))
    assert below.size == above.size == 0
