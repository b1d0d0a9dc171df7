"""The area of a map: tiles on a ramp, lines of orders, and the cursor through both axes."""

import math
from dataclasses import dataclass

import numpy as np
from PySide6.QtCore import QLineF, QPointF, QRectF, QSizeF, Qt, Signal
from PySide6.QtGui import QColor, QImage, QKeyEvent, QMouseEvent, QPainter, QPolygonF, QWheelEvent
from PySide6.QtWidgets import QWidget

from app.desktop.palette import Tokens
from app.desktop.plots.canvas import Canvas
from app.desktop.plots.frame import Frame, Span
from app.desktop.plots.frequency_paint import FLAG_HEIGHT
from app.desktop.plots.frequency_scene import LEFT, NO_WORDS, RIGHT, TOP
from app.desktop.plots.grid import paint_grid, write_y_words
from app.desktop.plots.hint import write_hint
from app.desktop.plots.level_map import LevelMap, Tile, place_in
from app.desktop.plots.pens import dashed_pen, ink_pen, tinted
from app.desktop.plots.ramp import ramp, steps_of
from app.desktop.plots.ticks import frequency_ticks
from app.desktop.plots.write import Anchor, width_of, write
from app.desktop.plots.x_range import XRange
from app.desktop.presenters.figures import hz_text

_EMPTY_HZ = (800.0, 15_000.0)
_STEP = 2 ** (1 / 24)  # of the cursor, by an arrow
_NOTCH, _ZOOM = 120, 0.8
_FINE = 2  # points of the picture a px, for screens that have them
_CARET = 5.0  # px
_ORDER_ALPHA = 0.45


@dataclass(slots=True, kw_only=True)
class MapScene:
    """What is shown; changed by the plot, read by what paints it."""

    map: LevelMap | None = None
    cursor_hz: float | None = None
    heard_hz: float | None = None
    hint: str = ""

    @property
    def tile(self) -> Tile | None:
        """What lies under both cursors."""
        return None if self.map is None else self.map.at(self.cursor_hz, self.heard_hz)

    def y_span(self) -> Span:
        """Return what is shown of the axis of what was heard, log10 of Hz."""
        low, high = _EMPTY_HZ
        if self.map is not None:
            low, high = float(self.map.y_low[0]), float(self.map.y_high[-1])
        return Span(low=math.log10(low), high=math.log10(high))


class MapCanvas(Canvas):
    """Paints a MapScene; tells where the pointer, or an arrow, has come, and what was pressed."""

    cursor_moved = Signal(float, float)  # Hz played, Hz heard
    tile_pressed = Signal(float, float)

    def __init__(self, scene: MapScene, x_range: XRange, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self.scene, self._x_range = scene, x_range
        x_range.changed.connect(self.redraw)
        self.setMouseTracking(True)
        self.setFocusPolicy(Qt.FocusPolicy.StrongFocus)
        self.setMinimumHeight(80)

    def frame(self, size: QSizeF | None = None) -> Frame:
        """Return where the axes lie, px; gutters as of the plot below."""
        size = size or QSizeF(self.size())
        return Frame(
            left=LEFT,
            top=TOP,
            width=max(size.width() - LEFT - RIGHT, 10.0),
            height=max(size.height() - TOP - NO_WORDS, 10.0),
            x=self._x_range.seen,
            y=self.scene.y_span(),
        )

    def paint_still(self, painter: QPainter, size: QSizeF, tokens: Tokens) -> None:
        """Paint grid and words, tiles, lines of orders and carets."""
        frame, shown = self.frame(size), self.scene.map
        x, y = frequency_ticks(frame.x), frequency_ticks(frame.y)
        paint_grid(painter, frame, x=x, y=y, tokens=tokens)
        write_y_words(painter, frame, y, tokens=tokens)
        if shown is None:
            return
        painter.save()
        painter.setClipRect(QRectF(frame.left, frame.top, frame.width, frame.height))
        _paint_tiles(painter, frame, shown, tokens=tokens)
        _paint_orders(painter, frame, shown, tokens=tokens)
        for hz in shown.marks_hz:
            _paint_caret(painter, frame, frame.px_of(math.log10(hz)), tokens=tokens)
        painter.restore()

    def paint_moving(self, painter: QPainter, size: QSizeF, tokens: Tokens) -> None:
        """Paint both cursors; the flag tells what was played."""
        frame, scene = self.frame(size), self.scene
        if scene.map is None:
            write_hint(painter, frame, scene.hint, masks=(), tokens=tokens)
        if scene.cursor_hz is None or not scene.cursor_hz > 0:
            return
        x = frame.px_of(math.log10(scene.cursor_hz))
        if not frame.left - 0.5 <= x <= frame.right_edge + 0.5:
            return
        painter.setRenderHint(QPainter.RenderHint.Antialiasing, False)
        painter.setPen(ink_pen(tokens.ink))
        across = round(x) + 0.5
        painter.drawLine(QLineF(across, frame.top, across, frame.bottom))
        if (tile := scene.tile) is not None:
            y = round(frame.py_of(math.log10(tile.y_hz))) + 0.5
            painter.setPen(dashed_pen(tokens.ink, alpha=0.75))
            painter.drawLine(QLineF(frame.left, y, frame.right_edge, y))
        _paint_flag(painter, frame, x, words=hz_text(scene.cursor_hz), tokens=tokens)

    def mouseMoveEvent(self, event: QMouseEvent) -> None:
        """Let both cursors follow."""
        if (at := self._hz_at(event.position())) is not None:
            self.cursor_moved.emit(*at)

    def mousePressEvent(self, event: QMouseEvent) -> None:
        """Tell the tile under the pointer."""
        at = self._hz_at(event.position())
        if at is not None and event.button() == Qt.MouseButton.LeftButton:
            self.cursor_moved.emit(*at)
            self._press()

    def wheelEvent(self, event: QWheelEvent) -> None:
        """Zoom the axis of what was played about the pointer."""
        along = event.angleDelta().y()
        if along:
            about = self.frame().x_at(event.position().x())
            self._x_range.zoom(_ZOOM ** (along / _NOTCH), about=about)
        event.accept()

    def keyPressEvent(self, event: QKeyEvent) -> None:
        """Move along with Left and Right, up and down a row, tell a tile with Enter."""
        key = Qt.Key(event.key())
        shown = self.scene.map
        if shown is None:
            super().keyPressEvent(event)
        elif key in {Qt.Key.Key_Return, Qt.Key.Key_Enter}:
            self._press()
        elif key in {Qt.Key.Key_Left, Qt.Key.Key_Right, Qt.Key.Key_Up, Qt.Key.Key_Down}:
            self._step(shown, key)
        else:
            super().keyPressEvent(event)

    def _step(self, shown: LevelMap, key: Qt.Key) -> None:
        scene, seen = self.scene, self._x_range.seen
        x_hz = scene.cursor_hz or 10 ** ((seen.low + seen.high) / 2)
        y_hz = scene.heard_hz or float(shown.y_hz[shown.y_hz.size // 2])
        row = int(np.argmin(np.abs(np.log(shown.y_hz / y_hz))))
        match key:
            case Qt.Key.Key_Left | Qt.Key.Key_Right:
                x_hz *= _STEP if key is Qt.Key.Key_Right else 1 / _STEP
                x_hz = float(np.clip(x_hz, 10**seen.low, 10**seen.high))
            case _:
                row += 1 if key is Qt.Key.Key_Up else -1
                y_hz = float(shown.y_hz[min(max(row, 0), shown.y_hz.size - 1)])
        self.cursor_moved.emit(x_hz, y_hz)

    def _press(self) -> None:
        tile = self.scene.tile
        if tile is not None:
            self.tile_pressed.emit(tile.x_hz, tile.y_hz)

    def _hz_at(self, at: QPointF) -> tuple[float, float] | None:
        frame = self.frame()
        if not frame.holds(at.x(), at.y()):
            return None
        return 10 ** frame.x_at(at.x()), 10 ** frame.y_at(at.y())


def _paint_tiles(painter: QPainter, frame: Frame, shown: LevelMap, *, tokens: Tokens) -> None:
    wide, high = (max(1, math.ceil(_FINE * px)) for px in (frame.width, frame.height))
    x_hz = 10 ** (frame.x.low + (np.arange(wide) + 0.5) / wide * frame.x.length)
    y_hz = 10 ** (frame.y.high - (np.arange(high) + 0.5) / high * frame.y.length)
    columns = place_in(x_hz, low=shown.x_low, high=shown.x_high)
    rows = place_in(y_hz, low=shown.y_low, high=shown.y_high)
    colours = ramp(tokens)[steps_of(shown.level, low=shown.low, high=shown.high)]
    picture = colours[np.maximum(rows, 0)[:, None], np.maximum(columns, 0)[None, :]]
    picture[(rows < 0)[:, None] | (columns < 0)[None, :]] = 0
    picture = np.ascontiguousarray(picture)
    image = QImage(picture.data, wide, high, 4 * wide, QImage.Format.Format_ARGB32)
    painter.drawImage(QRectF(frame.left, frame.top, frame.width, frame.height), image)


def _paint_orders(painter: QPainter, frame: Frame, shown: LevelMap, *, tokens: Tokens) -> None:
    painter.setRenderHint(QPainter.RenderHint.Antialiasing)
    for order in shown.orders:
        above = math.log10(order)
        ends = [
            QPointF(frame.px_of(x), frame.py_of(x + above)) for x in (frame.x.low, frame.x.high)
        ]
        painter.setPen(dashed_pen(tokens.ink, alpha=_ORDER_ALPHA))
        painter.drawLine(QLineF(*ends))
        place = frame.px_of(frame.y.high - above)
        words, y = f"H{order}", frame.top + 8
        if place > frame.right_edge - 14:  # it leaves at the side
            place, y = frame.right_edge - 14, frame.py_of(frame.x.high + above)
        write(
            painter,
            QPointF(place, y),
            words,
            colour=tokens.ink2,
            px=9,
            anchor=Anchor.MIDDLE,
            veil=tinted(tokens.plot, 0.8),
        )


def _paint_caret(painter: QPainter, frame: Frame, x: float, *, tokens: Tokens) -> None:
    painter.setRenderHint(QPainter.RenderHint.Antialiasing)
    painter.setPen(Qt.PenStyle.NoPen)
    painter.setBrush(QColor(tokens.ink))
    top = frame.top
    painter.drawPolygon(
        QPolygonF(
            [QPointF(x - _CARET, top), QPointF(x + _CARET, top), QPointF(x, top + 1.4 * _CARET)]
        )
    )


def _paint_flag(painter: QPainter, frame: Frame, x: float, *, words: str, tokens: Tokens) -> None:
    width = width_of(words, bold=True) + 12
    left = min(max(x - width / 2, frame.left), frame.right_edge - width)
    flag = QRectF(left, frame.top, width, FLAG_HEIGHT)
    painter.fillRect(flag, QColor(tokens.ink))
    write(painter, flag.center(), words, colour=tokens.plot, bold=True, anchor=Anchor.MIDDLE)
