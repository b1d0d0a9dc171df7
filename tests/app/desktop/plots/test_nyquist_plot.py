"""Reactance over resistance: equal scales, the cursor's frequency, points under the pointer."""

import numpy as np
import pytest
from PySide6.QtCore import QPoint, QSizeF, Qt
from PySide6.QtTest import QTest
from pytestqt.qtbot import QtBot

from app.desktop.plots.locus import Locus
from app.desktop.plots.nyquist_plot import NyquistPlot


def _circle(*, dots: bool = True) -> Locus:
    """A parallel resonance of 30 ohm on 6 ohm, at 100 Hz."""
    hz = np.geomspace(20.0, 500.0, 201)
    u = hz / 100.0
    ohm = np.asarray(6.0 + 30.0 / (1 + 4j * (u - 1 / u)), dtype=np.complex128)
    return Locus(name="take 3", hz=hz, ohm=ohm, dots=dots)


@pytest.fixture
def plot(qtbot: QtBot) -> NyquistPlot:
    made = NyquistPlot("Nyquist")
    qtbot.addWidget(made)
    made.resize(300, 420)
    made.show()
    made.set_loci([_circle()])
    return made


@pytest.mark.parametrize("size", [(300.0, 500.0), (800.0, 200.0)])
def test_an_ohm_is_as_long_across_as_upward(plot: NyquistPlot, size: tuple[float, float]) -> None:
    frame = plot.canvas.frame(QSizeF(*size))
    assert frame.width / frame.x.length == pytest.approx(frame.height / frame.y.length)
    first = plot.scene.loci[0].ohm
    assert frame.x.low < first.real.min()
    assert frame.x.high > first.real.max()
    assert frame.y.low < first.imag.min()
    assert frame.y.high > first.imag.max()


def test_the_pointer_takes_the_cursor_to_the_nearest_point(qtbot: QtBot, plot: NyquistPlot) -> None:
    frame = plot.canvas.frame()
    place = QPoint(round(frame.px_of(36.0)), round(frame.py_of(0.0)))
    with qtbot.waitSignal(plot.cursor_moved) as told:
        QTest.mouseMove(plot.canvas, place)
        qtbot.mouseMove(plot.canvas, place)
    assert told.args
    assert told.args[0] == pytest.approx(100.0, rel=0.02)
    assert plot.cursor_hz == told.args[0]


def test_an_arrow_steps_by_a_24th_of_an_octave_and_stays_on_the_curve(
    qtbot: QtBot, plot: NyquistPlot
) -> None:
    plot.mark(100.0)
    qtbot.keyClick(plot.canvas, Qt.Key.Key_Right)
    assert plot.cursor_hz == pytest.approx(100.0 * 2 ** (1 / 24))
    plot.mark(500.0)
    qtbot.keyClick(plot.canvas, Qt.Key.Key_Right)
    assert plot.cursor_hz == pytest.approx(500.0)


def test_what_stands_at_the_cursor_is_told_as_a_complex_number(plot: NyquistPlot) -> None:
    plot.mark(100.0)
    assert "take 3 36.00" in plot.readout_text()
    plot.mark(5.0)
    assert "–" in plot.readout_text()
    assert "R, take 3" in plot.table().splitlines()[0]
    assert "X, take 3" in plot.table().splitlines()[0]


def test_nothing_known_is_no_locus(plot: NyquistPlot) -> None:
    hole = np.array([np.nan + 0j, 7.0 + 1j])
    locus = Locus(name="x", hz=np.array([10.0, 20.0]), ohm=hole)
    assert locus.at(10.0) is None
    assert locus.at(None) is None
    with pytest.raises(ValueError, match="shapes"):
        Locus(name="x", hz=np.array([10.0]), ohm=hole)
    plot.set_loci([])
    assert plot.readout_text() == "Nyquist"
    assert not plot.to_image(1.0).isNull()
