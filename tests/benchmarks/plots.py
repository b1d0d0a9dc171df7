"""How long the window's plots take for a frame: a mask dragged over many curves, live curves."""

import os
import time
from collections.abc import Callable
from statistics import median

import numpy as np
from PySide6.QtWidgets import QApplication

from app.desktop.plots.frequency_plot import FrequencyPlot
from app.desktop.plots.line import LineRole, PlotLine
from app.desktop.plots.mask import PlotMask
from app.desktop.plots.stack import PlotStack
from dsp.arrays import Floats
from tests.app.desktop.plots import hand
from tests.benchmarks.row import Row

BAR_FRAME_MS = 16.0
BAR_LIVE_MS = 1000 / 30
BAR_BLOCK_MS = 50.0
_CURVES, _POINTS = 50, 400
_SIZE = (704, 560)  # of the plots at 1280 × 800
_WARM_UP = 5


def plots(*, frames: int) -> list[Row]:
    """Time whole frames: the event, what follows from it, and the painting of the screen."""
    os.environ.setdefault("QT_QPA_PLATFORM", "offscreen")
    drags, zooms = _drag_ms(frames=frames), _zoom_ms(frames=frames // 4)
    live = _live_ms(frames=frames)
    return [
        Row(
            what=f"drag a mask over {_CURVES} curves of {_POINTS} points: a frame",
            bar=BAR_FRAME_MS,
            measured=median(drags),
            unit="ms",
            note=f"median of {frames}, slowest {max(drags):.1f} ms; {_SIZE[0]} × {_SIZE[1]} px",
        ),
        Row(
            what=f"zoom {_CURVES} curves of {_POINTS} points: a frame",
            bar=BAR_BLOCK_MS,
            measured=median(zooms),
            unit="ms",
            note=f"all curves anew; median of {len(zooms)}, slowest {max(zooms):.1f} ms",
        ),
        Row(
            what="live level, impedance and phase growing in three plots: a frame",
            bar=BAR_LIVE_MS,
            measured=median(live),
            unit="ms",
            note=f"median of {frames}, slowest {max(live):.1f} ms",
        ),
    ]


def _drag_ms(*, frames: int) -> list[float]:
    plot = _many_curves()
    points = np.array([100.0, 500.0, 1000.0, 5000.0, 10_000.0])
    plot.set_masks(
        [
            PlotMask(name="u", sense="upper", hz=points, values=points * 0 + 92, editable=True),
            PlotMask(name="l", sense="lower", hz=points, values=points * 0 + 80, editable=True),
        ]
    )
    frame = plot.canvas.frame()
    x, y = frame.px_of(3.0), frame.py_of(92.0)
    hand.press(plot.canvas, x, y)

    def drag(number: int) -> None:
        # Down into the curves and up again, so that all of them are broken at once.
        hand.move(plot.canvas, x, y + 60 * (1 - np.cos(number / 8)))

    return _timed(drag, plot.canvas.repaint, frames=frames)


def _zoom_ms(*, frames: int) -> list[float]:
    plot = _many_curves()

    def zoom(number: int) -> None:
        hand.wheel(plot.canvas, 300, 200, notches=1 if number % 4 < 2 else -1)

    return _timed(zoom, plot.canvas.repaint, frames=frames)


def _many_curves() -> FrequencyPlot:
    app = QApplication.instance() or QApplication([])
    hz = np.geomspace(20, 20_000, _POINTS)
    plot = FrequencyPlot("Level", "dB re 20 µPa")
    plot.resize(*_SIZE)
    plot.set_lines(
        [
            PlotLine(name=str(n), x=hz, y=y, role=LineRole.OVERLAY, take=1 + n % 4)
            for n, y in enumerate(_curves(hz))
        ]
    )
    plot.show()
    app.processEvents()
    return plot


def _live_ms(*, frames: int) -> list[float]:
    app = QApplication.instance() or QApplication([])
    hz = np.geomspace(20, 20_000, _POINTS)
    curves = _curves(hz)
    shown = [
        FrequencyPlot("Level", "dB re 20 µPa", right_unit="°"),
        FrequencyPlot("Impedance", "Ω", right_unit="°"),
        FrequencyPlot("Distortion", "dB re fundamental", right_unit="%"),
    ]
    for plot in shown:
        plot.set_lines([PlotLine(name="reference", x=hz, y=curves[0], role=LineRole.REFERENCE)])
    stack = PlotStack(shown, [46, 27, 31])
    stack.resize(*_SIZE)
    stack.show()
    app.processEvents()

    def grow(number: int) -> None:
        end = 20 + (_POINTS - 20) * (number + 1) // (frames + _WARM_UP)
        for plot, y in zip(shown, curves, strict=False):
            live = [
                PlotLine(name="take", x=hz[:end], y=y[:end], role=LineRole.LIVE),
                PlotLine(name="phase", x=hz[:end], y=y[:end], role=LineRole.PHASE, right=True),
            ]
            plot.set_live(*live)
        stack.set_cursor(float(hz[end - 1]), "now")

    def paint() -> None:
        for plot in shown:
            plot.head.repaint()
            plot.canvas.repaint()

    return _timed(grow, paint, frames=frames)


def _curves(hz: Floats) -> list[Floats]:
    random = np.random.default_rng(0)
    shape = 87 - 10 * np.log10(1 + (75 / hz) ** 4)
    return [shape + random.normal(0, 1) + random.normal(0, 0.4, hz.size) for _ in range(_CURVES)]


def _timed(change: Callable[[int], None], paint: Callable[[], None], *, frames: int) -> list[float]:
    times = []
    for number in range(_WARM_UP + frames):
        started = time.perf_counter()
        change(number)
        paint()
        times.append(1e3 * (time.perf_counter() - started))
    return times[_WARM_UP:]
