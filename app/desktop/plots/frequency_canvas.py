"""The area of a plot over frequency, and what mouse and keys do in it."""

import math

from PySide6.QtCore import QPointF, QSizeF, Qt, Signal
from PySide6.QtGui import QKeyEvent, QMouseEvent, QPainter, QWheelEvent
from PySide6.QtWidgets import QWidget

from app.desktop.palette import Tokens
from app.desktop.plots.canvas import Canvas
from app.desktop.plots.frame import Frame
from app.desktop.plots.frequency_paint import paint_moving, paint_still
from app.desktop.plots.frequency_scene import FrequencyScene
from app.desktop.plots.mask_drag import MaskDrag
from app.desktop.plots.mask_keys import step_of
from app.desktop.plots.mask_line import is_on_line
from app.desktop.plots.under_pointer import curve_near
from app.desktop.plots.x_range import XRange

_STEP = 2 ** (1 / 24)  # of the cursor, by an arrow
_NOTCH = 120  # of a wheel, in eighths of a degree
_ZOOM = 0.8  # a notch shows so much of what was seen


class FrequencyCanvas(Canvas):
    """Paints a FrequencyScene; tells where the cursor went and which mask point was moved."""

    cursor_moved = Signal(float)  # Hz
    point_pressed = Signal(str, int)
    point_dragged = Signal(str, int, float, float)  # mask, index, Hz, value
    point_released = Signal(str, int)
    segment_double_clicked = Signal(str, float, float)  # mask, Hz, value

    def __init__(
        self, scene: FrequencyScene, x_range: XRange, parent: QWidget | None = None
    ) -> None:
        super().__init__(parent)
        self.scene = scene
        self._x_range = x_range
        x_range.changed.connect(self.redraw)
        self._drag: MaskDrag | None = None
        self._panned_from: QPointF | None = None
        self.setMouseTracking(True)
        self.setFocusPolicy(Qt.FocusPolicy.StrongFocus)
        self.setMinimumHeight(60)

    @property
    def x_range(self) -> XRange:
        """What is seen of the frequency axis."""
        return self._x_range

    @property
    def is_dragging(self) -> bool:
        """Whether a mask point is under a hand."""
        return self._drag is not None

    def share(self, x_range: XRange) -> None:
        """See the same part as other plots."""
        self._x_range.changed.disconnect(self.redraw)
        self._x_range = x_range
        x_range.changed.connect(self.redraw)
        self.redraw()

    def frame(self, size: QSizeF | None = None) -> Frame:
        """Return where the axes lie, px."""
        return self.scene.frame(size or QSizeF(self.size()), self._x_range.seen)

    def paint_still(self, painter: QPainter, size: QSizeF, tokens: Tokens) -> None:
        """Paint what changes seldom."""
        paint_still(painter, self.frame(size), self.scene, tokens=tokens)

    def paint_moving(self, painter: QPainter, size: QSizeF, tokens: Tokens) -> None:
        """Paint masks, live curves and the cursor."""
        paint_moving(painter, self.frame(size), self.scene, tokens=tokens)

    def mousePressEvent(self, event: QMouseEvent) -> None:
        """Take a mask point, or the axis."""
        if event.button() != Qt.MouseButton.LeftButton:
            return super().mousePressEvent(event)
        self._drag = MaskDrag.begun(self.scene, self.frame(), event.position())
        if self._drag is None:
            self._panned_from = event.position()
            self._choose_nothing()
            return None
        self.scene.masks = self._drag.masks()
        self.update()
        self.point_pressed.emit(self._drag.name, self._drag.index)
        return None

    def mouseMoveEvent(self, event: QMouseEvent) -> None:
        """Drag what was taken; else the cursor follows."""
        at, frame = event.position(), self.frame()
        if self._drag is not None:
            self._drag_to(frame, at)
        elif self._panned_from is not None:
            self._pan(frame, self._panned_from - at)
            self._panned_from = at
        else:
            self._follow(frame, at)

    def mouseReleaseEvent(self, event: QMouseEvent) -> None:
        """Let go."""
        self._panned_from = None
        if self._drag is not None and event.button() == Qt.MouseButton.LeftButton:
            done, self._drag = self._drag, None
            self.point_released.emit(done.name, done.index)

    def mouseDoubleClickEvent(self, event: QMouseEvent) -> None:
        """Tell where on a mask it was, for a point to be added."""
        frame, at = self.frame(), event.position()
        for mask in self.scene.masks:
            if mask.editable and is_on_line(frame, mask, at):
                hz = 10 ** frame.x_at(at.x())
                self.segment_double_clicked.emit(mask.name, hz, frame.y_at(at.y()))
                return

    def wheelEvent(self, event: QWheelEvent) -> None:
        """Zoom the frequency axis about the pointer, with Ctrl the value axis; sideways, move."""
        frame = self.frame()
        across, along = event.angleDelta().x(), event.angleDelta().y()
        if along and event.modifiers() & Qt.KeyboardModifier.ControlModifier:
            about = frame.y_at(event.position().y())
            self.scene.zoom_y(frame, _ZOOM ** (along / _NOTCH), about=about)
            self.redraw()
        elif along:
            about = frame.x_at(event.position().x())
            self._x_range.zoom(_ZOOM ** (along / _NOTCH), about=about)
        elif across:
            self._x_range.pan(-across / _NOTCH * frame.x.length / 10)
        event.accept()

    def leaveEvent(self, event: object) -> None:
        """Put a lifted curve back."""
        del event
        self._lift(None)

    def keyPressEvent(self, event: QKeyEvent) -> None:
        """Move the chosen mask point if there is one, else the cursor."""
        if self._move_point(event) or self._move_cursor(event):
            event.accept()
        else:
            super().keyPressEvent(event)

    def _drag_to(self, frame: Frame, at: QPointF) -> None:
        if self._drag is None or self._drag.is_jitter(at):
            return
        self._drag = self._drag.moved_to(frame, at)
        self.scene.masks = self._drag.masks()
        self.update()
        self.point_dragged.emit(self._drag.name, self._drag.index, self._drag.hz, self._drag.value)

    def _pan(self, frame: Frame, by: QPointF) -> None:
        self._x_range.pan(by.x() / frame.width * frame.x.length)
        if self.scene.pan_y(-by.y() / frame.height * frame.y.length):
            self.redraw()

    def _follow(self, frame: Frame, at: QPointF) -> None:
        if not frame.holds(at.x(), at.y()):
            return
        self._lift(curve_near(frame, self.scene, at))
        over_point = MaskDrag.begun(self.scene, frame, at) is not None
        self.setCursor(Qt.CursorShape.SizeAllCursor if over_point else Qt.CursorShape.ArrowCursor)
        self.cursor_moved.emit(10 ** frame.x_at(at.x()))

    def _lift(self, name: str | None) -> None:
        if name != self.scene.lifted:
            self.scene.lifted = name
            self.redraw()

    def _choose_nothing(self) -> None:
        chosen = MaskDrag.none_chosen(self.scene.masks)
        if chosen is not None:
            self.scene.masks = chosen
            self.update()

    def _move_cursor(self, event: QKeyEvent) -> bool:
        direction = {Qt.Key.Key_Left: -1, Qt.Key.Key_Right: 1}.get(Qt.Key(event.key()))
        if direction is None:
            return False
        seen = self._x_range.seen
        here = self.scene.cursor_hz or 10 ** ((seen.low + seen.high) / 2)
        there: float | None = here * _STEP**direction
        if event.modifiers() & Qt.KeyboardModifier.ShiftModifier:
            there = self.scene.extremum(here, direction=direction, span=self.frame().y)
        if there is not None and seen.low <= math.log10(there) + 1e-9 <= seen.high + 2e-9:
            self.cursor_moved.emit(there)
        return True

    def _move_point(self, event: QKeyEvent) -> bool:
        chosen = MaskDrag.of_chosen(self.scene)
        step = step_of(event, frame=self.frame())
        if chosen is None or step is None:
            return False
        moved = chosen.stepped(step)
        self.scene.masks = moved.masks()
        self.update()
        self.point_pressed.emit(moved.name, moved.index)
        self.point_dragged.emit(moved.name, moved.index, moved.hz, moved.value)
        self.point_released.emit(moved.name, moved.index)
        return True
