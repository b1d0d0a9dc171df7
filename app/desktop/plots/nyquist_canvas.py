"""The area of a plot of reactance over resistance, and the cursor's frequency in it."""

import numpy as np
from PySide6.QtCore import QLineF, QPointF, QRectF, QSizeF, Qt, Signal
from PySide6.QtGui import QColor, QKeyEvent, QMouseEvent, QPainter
from PySide6.QtWidgets import QWidget

from app.desktop.palette import Tokens
from app.desktop.plots.canvas import Canvas
from app.desktop.plots.dots import paint_dots
from app.desktop.plots.frame import Frame
from app.desktop.plots.grid import paint_grid, write_x_words, write_y_words
from app.desktop.plots.hint import write_hint
from app.desktop.plots.locus import Locus
from app.desktop.plots.nyquist_scene import NyquistScene
from app.desktop.plots.paths import open_path
from app.desktop.plots.pens import ink_pen
from app.desktop.plots.ticks import round_step, value_ticks
from app.desktop.plots.trace import inside
from app.desktop.plots.write import Anchor, width_of, write
from app.desktop.presenters.figures import hz_text

_STEP = 2 ** (1 / 24)  # of the cursor, by an arrow
_DOT, _RING = 3.6, 5.0  # px
_PX_A_WORD = 44.0
_FLAG = 18.0
_LEAST_WORDS = 2.0


class NyquistCanvas(Canvas):
    """Paints a NyquistScene; tells at which frequency the pointer, or an arrow, has come."""

    cursor_moved = Signal(float)  # Hz

    def __init__(self, scene: NyquistScene, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self.scene = scene
        self.setMouseTracking(True)
        self.setFocusPolicy(Qt.FocusPolicy.StrongFocus)
        self.setMinimumHeight(120)

    def frame(self, size: QSizeF | None = None) -> Frame:
        """Return where the axes lie, px."""
        return self.scene.frame(size or QSizeF(self.size()))

    def paint_still(self, painter: QPainter, size: QSizeF, tokens: Tokens) -> None:
        """Paint grid, words and what was measured and fitted."""
        frame = self.frame(size)
        most = max(_LEAST_WORDS, min(6.0, min(frame.width, frame.height) / _PX_A_WORD))
        # One step for both axes: squares of the grid tell that the scales are equal.
        step = round_step(min(frame.x.length, frame.y.length), most=most)
        x, y = (value_ticks(span, most=span.length / step) for span in (frame.x, frame.y))
        paint_grid(painter, frame, x=x, y=y, tokens=tokens)
        write_x_words(painter, frame, x, tokens=tokens)
        write_y_words(painter, frame, y, tokens=tokens)
        if frame.y.low < 0 < frame.y.high:
            painter.setPen(ink_pen(tokens.edge))
            zero = round(frame.py_of(0.0)) + 0.5
            painter.drawLine(QLineF(frame.left, zero, frame.right_edge, zero))
        for locus in sorted(self.scene.loci, key=lambda one: not one.dots):
            _paint_locus(painter, frame, locus, tokens=tokens)

    def paint_moving(self, painter: QPainter, size: QSizeF, tokens: Tokens) -> None:
        """Paint where the cursor's frequency lies."""
        frame, scene = self.frame(size), self.scene
        if scene.hint and not scene.loci:
            write_hint(painter, frame, scene.hint, masks=(), tokens=tokens)
        if not scene.loci or (at := scene.loci[0].at(scene.cursor_hz)) is None:
            return
        place = QPointF(frame.px_of(at.real), frame.py_of(at.imag))
        painter.setRenderHint(QPainter.RenderHint.Antialiasing)
        painter.setPen(ink_pen(tokens.ink, width=1.6))
        painter.setBrush(QColor(tokens.plot))
        painter.drawEllipse(place, _RING, _RING)
        _paint_flag(painter, frame, place, words=hz_text(scene.cursor_hz), tokens=tokens)

    def mouseMoveEvent(self, event: QMouseEvent) -> None:
        """Let the cursor follow to the nearest point."""
        at, frame = event.position(), self.frame()
        hz = self.scene.nearest_hz(frame, at.x(), at.y())
        if hz is not None and frame.holds(at.x(), at.y()):
            self.cursor_moved.emit(hz)

    def keyPressEvent(self, event: QKeyEvent) -> None:
        """Move the cursor by a 24th of an octave."""
        direction = {Qt.Key.Key_Left: -1, Qt.Key.Key_Right: 1}.get(Qt.Key(event.key()))
        if direction is None or not self.scene.loci:
            super().keyPressEvent(event)
            return
        hz = self.scene.loci[0].hz
        here = self.scene.cursor_hz or float(np.sqrt(hz[0] * hz[-1]))
        self.cursor_moved.emit(float(np.clip(here * _STEP**direction, hz[0], hz[-1])))


def _paint_locus(painter: QPainter, frame: Frame, locus: Locus, *, tokens: Tokens) -> None:
    x, y = frame.px(locus.ohm.real), frame.py(locus.ohm.imag)
    colour = tokens.takes[locus.take - 1] if locus.take else tokens.ink
    if locus.dots:
        seen = np.isfinite(x) & np.isfinite(y)
        paint_dots(painter, x[seen], y[seen], across=_DOT, colour=colour)
        return
    painter.setRenderHint(QPainter.RenderHint.Antialiasing)
    painter.setBrush(Qt.BrushStyle.NoBrush)
    painter.setPen(ink_pen(colour, width=1.1))
    painter.drawPath(open_path(inside(x, y, frame=frame)))


def _paint_flag(
    painter: QPainter, frame: Frame, at: QPointF, *, words: str, tokens: Tokens
) -> None:
    # Beside the ring, on the side where there is room.
    width = width_of(words, bold=True) + 12
    fits = at.x() + _RING + 4 + width <= frame.right_edge
    left = at.x() + _RING + 4 if fits else at.x() - _RING - 4 - width
    top = min(max(at.y() - _FLAG / 2, frame.top), frame.bottom - _FLAG)
    flag = QRectF(left, top, width, _FLAG)
    painter.fillRect(flag, QColor(tokens.ink))
    write(painter, flag.center(), words, colour=tokens.plot, bold=True, anchor=Anchor.MIDDLE)
