"""The area of a plot over a linear axis: curves, and places with a word."""

from dataclasses import dataclass

import numpy as np
from PySide6.QtCore import QLineF, QPointF, QRectF, QSizeF, Qt, Signal
from PySide6.QtGui import QMouseEvent, QPainter
from PySide6.QtWidgets import QWidget

from app.desktop.palette import Tokens
from app.desktop.plots.canvas import Canvas
from app.desktop.plots.frame import Frame, Span
from app.desktop.plots.frequency_scene import BOTTOM, LEFT, NO_RIGHT, TOP
from app.desktop.plots.grid import paint_grid, write_x_words, write_y_words
from app.desktop.plots.line import PlotLine
from app.desktop.plots.pens import ink_pen, line_pen, tinted
from app.desktop.plots.span_place import Place
from app.desktop.plots.stroke import stroke
from app.desktop.plots.ticks import value_ticks
from app.desktop.plots.trace import trace
from app.desktop.plots.write import Anchor, width_of, write

_PX_A_WORD, _PX_A_VALUE = 70.0, 30.0
_BAND = 0.08  # of ink
_WORD = 14.0  # px of a line of words


@dataclass(slots=True, kw_only=True)
class SpanScene:
    """What is shown; changed by the plot, read by what paints it."""

    lines: tuple[PlotLine, ...] = ()
    places: tuple[Place, ...] = ()
    hint: str = ""
    at: float | None = None

    def frame(self, size: QSizeF) -> Frame:
        """Return where the axes lie in a widget of a size, px."""
        x = np.concatenate([line.x for line in self.lines]) if self.lines else np.array([-1.0, 1.0])
        y = np.concatenate([line.y for line in self.lines]) if self.lines else np.array([0.0])
        top = float(np.nanmax(y, initial=0.0)) * 1.1 or 1.0
        low, high = float(x.min()), float(x.max())
        return Frame(
            left=LEFT,
            top=TOP + _WORD,
            width=max(size.width() - LEFT - NO_RIGHT, 10.0),
            height=max(size.height() - TOP - _WORD - BOTTOM, 10.0),
            x=Span(low=low, high=high if high > low else low + 1.0),
            y=Span(low=0.0, high=top),
        )


class SpanCanvas(Canvas):
    """Paints a SpanScene; tells where a person pressed."""

    pressed_at = Signal(float)

    def __init__(self, scene: SpanScene, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self.scene = scene
        self.setFocusPolicy(Qt.FocusPolicy.StrongFocus)
        self.setMinimumHeight(60)

    def paint_still(self, painter: QPainter, size: QSizeF, tokens: Tokens) -> None:
        """Paint grid, places and curves."""
        frame = self.scene.frame(size)
        x = value_ticks(frame.x, most=max(2.0, min(12.0, frame.width / _PX_A_WORD)))
        y = value_ticks(frame.y, most=max(2.0, frame.height / _PX_A_VALUE))
        paint_grid(painter, frame, x=x, y=y, tokens=tokens)
        write_x_words(painter, frame, x, tokens=tokens)
        write_y_words(painter, frame, y, tokens=tokens)
        _paint_places(painter, frame, self.scene.places, tokens=tokens)
        for line in self.scene.lines:
            stroke(painter, trace(frame, line.x, line.y), line_pen(line, tokens))

    def paint_moving(self, painter: QPainter, size: QSizeF, tokens: Tokens) -> None:
        """Paint the cursor, or say what will appear."""
        scene, frame = self.scene, self.scene.frame(size)
        if scene.hint and not scene.lines:
            at = QPointF(frame.left + frame.width / 2, frame.top + frame.height / 2)
            write(painter, at, scene.hint, colour=tokens.ink2, px=13, anchor=Anchor.MIDDLE)
        if scene.at is not None and frame.x.low <= scene.at <= frame.x.high:
            painter.setPen(ink_pen(tokens.takes[0]))
            x = round(frame.px_of(scene.at)) + 0.5
            painter.drawLine(QLineF(x, frame.top, x, frame.bottom))

    def mousePressEvent(self, event: QMouseEvent) -> None:
        """Tell where it was on the axis."""
        frame = self.scene.frame(QSizeF(self.size()))
        if self.scene.lines:
            x = frame.x_at(event.position().x())
            self.pressed_at.emit(min(max(x, frame.x.low), frame.x.high))


def _paint_places(
    painter: QPainter, frame: Frame, places: tuple[Place, ...], *, tokens: Tokens
) -> None:
    painter.setRenderHint(QPainter.RenderHint.Antialiasing, False)
    right = frame.left
    for place in sorted(places, key=lambda one: one.x):
        if place.low is not None and place.high is not None:
            low, high = (
                frame.px_of(min(max(x, frame.x.low), frame.x.high)) for x in (place.low, place.high)
            )
            shade = QRectF(low, frame.top, max(high - low, 1.0), frame.height)
            painter.fillRect(shade, tinted(tokens.ink, _BAND))
        if not frame.x.low <= place.x <= frame.x.high:
            continue
        painter.setPen(ink_pen(tokens.ink))
        x = round(frame.px_of(place.x)) + 0.5
        painter.drawLine(QLineF(x, frame.top, x, frame.bottom))
        half = width_of(place.word) / 2
        middle = max(x, right + half)  # never over the word before it
        at = QPointF(middle, frame.top - _WORD / 2)
        write(painter, at, place.word, colour=tokens.ink2, anchor=Anchor.MIDDLE)
        right = middle + half + 8
