"""The area of a plot over time, and the gate's handle under mouse and keys."""

from dataclasses import dataclass, replace

import numpy as np
from PySide6.QtCore import QLineF, QPointF, QRectF, QSizeF, Qt, Signal
from PySide6.QtGui import QColor, QKeyEvent, QMouseEvent, QPainter
from PySide6.QtWidgets import QWidget

from app.desktop.palette import Tokens
from app.desktop.plots.canvas import Canvas
from app.desktop.plots.frame import Frame, Span
from app.desktop.plots.grid import paint_grid, write_x_words, write_y_words
from app.desktop.plots.mask_line import REACH
from app.desktop.plots.paths import open_path
from app.desktop.plots.pens import dashed_pen, ink_pen, tinted
from app.desktop.plots.ticks import Ticks, value_ticks
from app.desktop.plots.time_marks import Box, Gate
from app.desktop.plots.time_scene import TimeScene
from app.desktop.plots.trace import trace
from app.desktop.plots.write import Anchor, width_of, write

_HANDLE = 5.0  # px, radius
_TREMBLE = 3.0  # px
_STEPS_A_SCREEN = 200.0
_COARSE = 10
_LEAST = 1e-3  # of what is shown: the shortest gate
_PX_A_WORD = 60.0  # along time


@dataclass(frozen=True, slots=True, kw_only=True)
class _Held:
    """The gate's end under a hand: the axis stands still meanwhile, though it follows the gate.

    ``grip`` is how far right of it the hand took it, px.
    """

    x: Span
    grip: float
    pressed_at: float


class TimeCanvas(Canvas):
    """Paints a TimeScene; tells where the end of the gate was dragged."""

    gate_dragged = Signal(float, float)  # start, end
    gate_released = Signal(float, float)

    def __init__(self, scene: TimeScene, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self.scene = scene
        self._held: _Held | None = None
        self._has_moved = False
        self.setFocusPolicy(Qt.FocusPolicy.StrongFocus)
        self.setMouseTracking(True)
        self.setMinimumHeight(48)

    @property
    def is_dragging(self) -> bool:
        """Whether the gate is under a hand."""
        return self._held is not None

    def frame(self, size: QSizeF | None = None) -> Frame:
        """Return where the axes lie, px."""
        held = None if self._held is None else self._held.x
        return self.scene.frame(size or QSizeF(self.size()), x=held)

    def paint_still(self, painter: QPainter, size: QSizeF, tokens: Tokens) -> None:
        """Paint grid, boxes and trace; what the gate leaves out is thin and grey."""
        frame, scene = self.frame(size), self.scene
        most = min(6.0, max(2.0, frame.width / _PX_A_WORD))
        x = value_ticks(frame.x, most=most, signed=False)
        y = Ticks(labelled=(), words=())
        if not scene.is_bare:
            x = _with_unit(x, scene.x_unit)
            y = value_ticks(frame.y, most=max(2.0, min(6.0, frame.height / 30)), signed=False)
        paint_grid(painter, frame, x=replace(x, minor=()), y=y, tokens=tokens)
        write_x_words(painter, frame, x, tokens=tokens)
        write_y_words(painter, frame, y, tokens=tokens)
        for box in scene.boxes:
            _paint_box(painter, frame, box, tokens=tokens)
        self._paint_trace(painter, frame, tokens)

    def paint_moving(self, painter: QPainter, size: QSizeF, tokens: Tokens) -> None:
        """Paint the gate and the present."""
        frame, scene = self.frame(size), self.scene
        if scene.hint and not scene.t.size:
            at = QPointF(frame.left + frame.width / 2, frame.top + frame.height / 2)
            write(painter, at, scene.hint, colour=tokens.ink2, px=13, anchor=Anchor.MIDDLE)
        if scene.now is not None and frame.x.low <= scene.now <= frame.x.high:
            _upright(painter, frame, x=scene.now, tokens=tokens)
        if scene.gate is not None:
            _paint_gate(painter, frame, scene.gate, words=scene.gate_words, tokens=tokens)

    def mousePressEvent(self, event: QMouseEvent) -> None:
        """Take the end of the gate."""
        grip = self._grip_at(event.position().x())
        if grip is None:
            super().mousePressEvent(event)
            return
        self._held = _Held(x=self.frame().x, grip=grip, pressed_at=event.position().x())

    def mouseMoveEvent(self, event: QMouseEvent) -> None:
        """Drag it; a hand that only pressed may tremble."""
        px = event.position().x()
        if self._held is None:
            over = self._grip_at(px) is not None
            self.setCursor(Qt.CursorShape.SizeHorCursor if over else Qt.CursorShape.ArrowCursor)
        elif self._has_moved or abs(px - self._held.pressed_at) >= _TREMBLE:
            self._has_moved = True
            self._move_to(self.frame().x_at(px - self._held.grip))

    def mouseReleaseEvent(self, event: QMouseEvent) -> None:
        """Let it go."""
        if self._held is not None and event.button() == Qt.MouseButton.LeftButton:
            self._let_go()

    def keyPressEvent(self, event: QKeyEvent) -> None:
        """Move the end of the gate by an arrow; ten times as far with Shift."""
        direction = {Qt.Key.Key_Left: -1, Qt.Key.Key_Right: 1}.get(Qt.Key(event.key()))
        gate = self.scene.gate
        if direction is None or gate is None:
            super().keyPressEvent(event)
            return
        times = _COARSE if event.modifiers() & Qt.KeyboardModifier.ShiftModifier else 1
        seen = self.frame().x
        self._held, self._has_moved = _Held(x=seen, grip=0.0, pressed_at=0.0), True
        self._move_to(gate.end + direction * times * seen.length / _STEPS_A_SCREEN)
        self._let_go()

    def _let_go(self) -> None:
        has_moved, self._held, self._has_moved = self._has_moved, None, False
        self.redraw()
        gate = self.scene.gate
        if has_moved and gate is not None:
            self.gate_released.emit(gate.start, gate.end)

    def _grip_at(self, px: float) -> float | None:
        gate = self.scene.gate
        if gate is None:
            return None
        grip = px - self.frame().px_of(gate.end)
        return grip if abs(grip) <= REACH else None

    def _move_to(self, t: float) -> None:
        gate, seen = self.scene.gate, self.frame().x
        if gate is None:
            return
        end = min(max(t, gate.start + _LEAST * seen.length), seen.high)
        self.scene.gate = Gate(start=gate.start, end=end)
        self.redraw()
        self.gate_dragged.emit(gate.start, end)

    def _paint_trace(self, painter: QPainter, frame: Frame, tokens: Tokens) -> None:
        scene = self.scene
        painter.setRenderHint(QPainter.RenderHint.Antialiasing)
        painter.setBrush(Qt.BrushStyle.NoBrush)
        gate = scene.gate
        used = np.ones(scene.t.shape, dtype=bool)
        if gate is not None:
            used = scene.t <= gate.end
            rest = trace(frame, scene.t[~used], scene.y[~used])
            painter.setPen(ink_pen(tokens.ink3))
            painter.drawPath(open_path(rest))
        painter.setPen(ink_pen(tokens.takes[0], width=1.6 if scene.is_bare else 2.0))
        painter.drawPath(open_path(trace(frame, scene.t[used], scene.y[used])))


def _with_unit(ticks: Ticks, unit: str) -> Ticks:
    if not ticks.words:
        return ticks
    return replace(ticks, words=(*ticks.words[:-1], f"{ticks.words[-1]} {unit}"))


def _upright(painter: QPainter, frame: Frame, *, x: float, tokens: Tokens) -> None:
    at = round(frame.px_of(x)) + 0.5
    painter.setRenderHint(QPainter.RenderHint.Antialiasing, False)
    painter.setPen(ink_pen(tokens.ink))
    painter.drawLine(QLineF(at, frame.top, at, frame.bottom))


def _paint_gate(painter: QPainter, frame: Frame, gate: Gate, *, words: str, tokens: Tokens) -> None:
    end = min(max(frame.px_of(gate.end), frame.left), frame.right_edge)
    rest = QRectF(end, frame.top, frame.right_edge - end, frame.height)
    painter.fillRect(rest, tinted(tokens.ink, 0.05))
    if frame.x.low < gate.start < frame.x.high and gate.start:
        painter.setPen(dashed_pen(tokens.ink3))
        start = round(frame.px_of(gate.start)) + 0.5
        painter.drawLine(QLineF(start, frame.top, start, frame.bottom))
    _upright(painter, frame, x=gate.end, tokens=tokens)
    painter.setRenderHint(QPainter.RenderHint.Antialiasing)
    painter.setPen(ink_pen(tokens.ink, width=1.6))
    painter.setBrush(QColor(tokens.plot))
    at = QPointF(round(end) + 0.5, frame.top + 10)
    painter.drawEllipse(at, _HANDLE, _HANDLE)
    fits = end + 11 + width_of(words) < frame.right_edge
    beside = at + QPointF(11 if fits else -11, 0)
    anchor = Anchor.LEFT if fits else Anchor.RIGHT
    write(painter, beside, words, colour=tokens.ink2, anchor=anchor, veil=tinted(tokens.plot, 0.7))


def _paint_box(painter: QPainter, frame: Frame, box: Box, *, tokens: Tokens) -> None:
    left = max(frame.px_of(box.start), frame.left)
    right = min(frame.px_of(box.end), frame.right_edge)
    top = max(frame.py_of(box.high), frame.top)
    bottom = min(frame.py_of(box.low), frame.bottom)
    if right <= left or bottom <= top:
        return
    rect = QRectF(left, top, right - left, bottom - top)
    painter.setRenderHint(QPainter.RenderHint.Antialiasing, False)
    painter.setPen(dashed_pen(tokens.ink3))
    painter.setBrush(tinted(tokens.takes[0], 0.10))
    painter.drawRect(rect)
    write(painter, QPointF(left + 2, top - 12), box.words, colour=tokens.ink2)
