"""The area of a plot over the time of a take, and what is pressed in it."""

from dataclasses import dataclass

import numpy as np
from PySide6.QtCore import QLineF, QPointF, QRectF, QSizeF, Qt, Signal
from PySide6.QtGui import QColor, QKeyEvent, QMouseEvent, QPainter
from PySide6.QtWidgets import QWidget

from app.desktop.palette import Tokens
from app.desktop.plots.canvas import Canvas
from app.desktop.plots.frame import Frame, Span
from app.desktop.plots.frequency_scene import BOTTOM, LEFT, RIGHT, TOP
from app.desktop.plots.grid import paint_grid, write_x_words, write_y_words
from app.desktop.plots.hint import write_hint
from app.desktop.plots.moments import Moment, MomentKind, Part
from app.desktop.plots.paths import open_path
from app.desktop.plots.pens import ink_pen, tinted
from app.desktop.plots.ticks import Ticks, value_ticks
from app.desktop.plots.trace import trace
from app.desktop.plots.write import Anchor, width_of, write

_EMPTY_S, _EMPTY_DB = 2.5, Span(low=0.0, high=60.0)
_MOST_DB = 70.0  # what lies further below the highest point says nothing
_NEAR = 1 / 24  # octave: a frequency that is played within that is meant
_DOT, _REACH, _RING = 6.0, 8.0, 6.5  # px
_SHADE, _LEFT_OUT = 0.12, 0.22
_PX_A_WORD = 70.0


@dataclass(slots=True, kw_only=True)
class MomentsScene:
    """What is shown; changed by the plot, read by what paints it."""

    parts: tuple[Part, ...] = ()
    moments: tuple[Moment, ...] = ()
    left_out: tuple[tuple[float, float], ...] = ()
    cursor_hz: float | None = None
    chosen: int | None = None
    hint: str = ""

    def frame(self, size: QSizeF) -> Frame:
        """Return where the axes lie in a widget of a size, px; gutters as of the plots above."""
        last = max((float(part.time_s[-1]) for part in self.parts), default=_EMPTY_S)
        return Frame(
            left=LEFT,
            top=TOP,
            width=max(size.width() - LEFT - RIGHT, 10.0),
            height=max(size.height() - TOP - BOTTOM, 10.0),
            x=Span(low=0.0, high=last * 1.01),
            y=self._y_span(),
        )

    def under_cursor(self) -> list[tuple[float, float]]:
        """Return from when to when the cursor's frequency was played, s."""
        if self.cursor_hz is None:
            return []
        found = [part.times_of(self.cursor_hz, near=_NEAR) for part in self.parts]
        return [span for span in found if span is not None]

    def _y_span(self) -> Span:
        if not self.parts:
            return _EMPTY_DB
        values = np.concatenate([part.level for part in self.parts])
        high = max([float(values.max()), *(one.level for one in self.moments)])
        low = max(float(values.min()), high - _MOST_DB)
        return Span(low=10 * np.floor((low - 1) / 10), high=10 * np.ceil((high + 4) / 10))


class MomentsCanvas(Canvas):
    """Paints a MomentsScene; tells which frequency the pointer is at, and what was pressed."""

    cursor_moved = Signal(float)  # Hz played
    moment_pressed = Signal(int)
    time_pressed = Signal(float)  # s

    def __init__(self, scene: MomentsScene, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self.scene = scene
        self.setMouseTracking(True)
        self.setFocusPolicy(Qt.FocusPolicy.StrongFocus)
        self.setMinimumHeight(70)

    def frame(self, size: QSizeF | None = None) -> Frame:
        """Return where the axes lie, px."""
        return self.scene.frame(size or QSizeF(self.size()))

    def paint_still(self, painter: QPainter, size: QSizeF, tokens: Tokens) -> None:
        """Paint grid, what was left out, levels, and where each part begins."""
        frame, scene = self.frame(size), self.scene
        x = value_ticks(frame.x, most=max(2.0, frame.width / _PX_A_WORD), signed=False)
        y = value_ticks(frame.y, most=max(2.0, frame.height / 22), signed=False)
        paint_grid(painter, frame, x=_seconds(x), y=y, tokens=tokens)
        write_x_words(painter, frame, _seconds(x), tokens=tokens)
        write_y_words(painter, frame, y, tokens=tokens)
        for start, stop in scene.left_out:
            left, right = frame.px_of(start), max(frame.px_of(stop), frame.px_of(start) + 2)
            box = QRectF(left, frame.top, right - left, frame.height)
            painter.fillRect(box, tinted(tokens.ink, _LEFT_OUT))
        for part in scene.parts:
            _paint_part(painter, frame, part, tokens=tokens)

    def paint_moving(self, painter: QPainter, size: QSizeF, tokens: Tokens) -> None:
        """Paint when the cursor's frequency was played, and the moments."""
        frame, scene = self.frame(size), self.scene
        if not scene.parts:
            write_hint(painter, frame, scene.hint, masks=(), tokens=tokens)
        for start, stop in scene.under_cursor():
            _paint_cursor(painter, frame, start=start, stop=stop, tokens=tokens)
        for index, one in enumerate(scene.moments):
            at = QPointF(frame.px_of(one.time_s), frame.py_of(one.level))
            _paint_moment(painter, at, one, chosen=index == scene.chosen, tokens=tokens)

    def mouseMoveEvent(self, event: QMouseEvent) -> None:
        """Let the cursor follow to what was played then."""
        frame, at = self.frame(), event.position()
        if frame.holds(at.x(), at.y()) and (hz := self._hz_at(frame.x_at(at.x()))) is not None:
            self.cursor_moved.emit(hz)

    def mousePressEvent(self, event: QMouseEvent) -> None:
        """Choose a moment, or a part."""
        frame, at = self.frame(), event.position()
        if event.button() != Qt.MouseButton.LeftButton or not frame.holds(at.x(), at.y()):
            return
        away = [
            max(abs(frame.px_of(one.time_s) - at.x()), abs(frame.py_of(one.level) - at.y()))
            for one in self.scene.moments
        ]
        if away and min(away) <= _REACH:
            self.moment_pressed.emit(away.index(min(away)))
        else:
            self.time_pressed.emit(frame.x_at(at.x()))

    def keyPressEvent(self, event: QKeyEvent) -> None:
        """Walk from moment to moment with Left and Right."""
        step = {Qt.Key.Key_Left: -1, Qt.Key.Key_Right: 1}.get(Qt.Key(event.key()))
        count = len(self.scene.moments)
        if step is None or not count:
            super().keyPressEvent(event)
            return
        before = self.scene.chosen
        start = (0 if step > 0 else count - 1) if before is None else before + step
        self.moment_pressed.emit(min(max(start, 0), count - 1))

    def _hz_at(self, time_s: float) -> float | None:
        for part in self.scene.parts:
            if part.time_s[0] <= time_s <= part.time_s[-1]:
                return float(np.interp(time_s, part.time_s, part.drive_hz))
        return None


def _seconds(ticks: Ticks) -> Ticks:
    words = (*ticks.words[:-1], f"{ticks.words[-1]} s") if ticks.words else ()
    return Ticks(labelled=ticks.labelled, words=words)


def _paint_part(painter: QPainter, frame: Frame, part: Part, *, tokens: Tokens) -> None:
    painter.setRenderHint(QPainter.RenderHint.Antialiasing)
    painter.setBrush(Qt.BrushStyle.NoBrush)
    painter.setPen(ink_pen(tokens.takes[0], width=1.4))
    painter.drawPath(open_path(trace(frame, part.time_s, part.level)))
    left, right = (frame.px_of(float(part.time_s[end])) for end in (0, -1))
    if right - left > width_of(part.name) + 6:
        write(
            painter,
            QPointF((left + right) / 2, frame.top + 8),
            part.name,
            colour=tokens.ink2,
            anchor=Anchor.MIDDLE,
            veil=tinted(tokens.plot, 0.75),
        )


def _paint_cursor(
    painter: QPainter, frame: Frame, *, start: float, stop: float, tokens: Tokens
) -> None:
    left, right = frame.px_of(start), frame.px_of(stop)
    if right - left > 1:
        box = QRectF(left, frame.top, right - left, frame.height)
        painter.fillRect(box, tinted(tokens.ink, _SHADE))
        return
    painter.setRenderHint(QPainter.RenderHint.Antialiasing, False)
    painter.setPen(ink_pen(tokens.ink))
    x = round(left) + 0.5
    painter.drawLine(QLineF(x, frame.top, x, frame.bottom))


def _paint_moment(
    painter: QPainter, at: QPointF, one: Moment, *, chosen: bool, tokens: Tokens
) -> None:
    painter.setRenderHint(QPainter.RenderHint.Antialiasing)
    painter.setPen(ink_pen(tokens.ink, width=1.4))
    painter.setBrush(QColor(tokens.ink if one.kind is MomentKind.CLICK else tokens.plot))
    painter.drawEllipse(at, _DOT / 2, _DOT / 2)
    if chosen:
        painter.setPen(ink_pen(tokens.focus, width=2))
        painter.setBrush(Qt.BrushStyle.NoBrush)
        painter.drawEllipse(at, _RING, _RING)
