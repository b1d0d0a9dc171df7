"""The area of a trend."""

import numpy as np
from PySide6.QtCore import QLineF, QPointF, QRectF, QSizeF, Qt, Signal
from PySide6.QtGui import QColor, QKeyEvent, QMouseEvent, QPainter
from PySide6.QtWidgets import QWidget

from app.desktop import glyphs
from app.desktop.palette import Tokens
from app.desktop.plots.canvas import Canvas
from app.desktop.plots.dots import paint_dots
from app.desktop.plots.frame import Frame
from app.desktop.plots.grid import paint_grid, write_x_words, write_y_words
from app.desktop.plots.mask import PlotMask, Sense
from app.desktop.plots.mask_line import paint_mask
from app.desktop.plots.paths import open_path
from app.desktop.plots.pens import dashed_pen, ink_pen, tinted
from app.desktop.plots.ticks import Ticks, value_ticks
from app.desktop.plots.trace import inside
from app.desktop.plots.trend_data import NewPoint
from app.desktop.plots.trend_scene import TrendScene
from app.desktop.plots.write import Anchor, width_of, write
from app.desktop.presenters.mark import Mark

_DOT, _FEW_DOT, _MANY = 4.4, 7.0, 60  # px across; with fewer figures dots are larger
_GLYPH = 11.0
_RING = 6.0
_PX_A_WORD = 30.0
_LINE = 18.0  # px that words take


class TrendCanvas(Canvas):
    """Paints a TrendScene; tells which dot was pressed."""

    point_pressed = Signal(str)

    def __init__(self, scene: TrendScene, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self.scene = scene
        self.setFocusPolicy(Qt.FocusPolicy.StrongFocus)
        self.setMinimumHeight(60)

    def paint_still(self, painter: QPainter, size: QSizeF, tokens: Tokens) -> None:
        """Paint everything but the chosen dot."""
        scene, frame = self.scene, self.scene.frame(size)
        y = _y_ticks(scene, frame)
        paint_grid(painter, frame, x=_x_lines(scene), y=y, tokens=tokens)
        write_y_words(painter, frame, y, tokens=tokens)
        write_x_words(painter, frame, _x_words(scene), tokens=tokens)
        _paint_due(painter, frame, scene, tokens=tokens)
        _paint_limits(painter, frame, scene, tokens=tokens)
        _paint_points(painter, frame, scene, tokens=tokens)
        _paint_means(painter, frame, scene, tokens=tokens)
        for note in scene.notes:
            at = QPointF(frame.px_of(note.x), frame.py_of(note.y))
            glyphs.paint(painter, note.mark, _about(at), tokens=tokens)
            _write_note(painter, frame, at, words=note.words, tokens=tokens)

    def paint_moving(self, painter: QPainter, size: QSizeF, tokens: Tokens) -> None:
        """Paint the chosen dot and the new one."""
        scene, frame = self.scene, self.scene.frame(size)
        if scene.hint and scene.is_empty:
            at = QPointF(frame.left + frame.width / 2, frame.top + frame.height / 2)
            write(painter, at, scene.hint, colour=tokens.ink2, px=13, anchor=Anchor.MIDDLE)
        painter.setRenderHint(QPainter.RenderHint.Antialiasing)
        index = scene.chosen_index
        if index is not None and np.isfinite(scene.points.y[index]):
            x, y = float(scene.points.x[index]), float(scene.points.y[index])
            _paint_ring(painter, QPointF(frame.px_of(x), frame.py_of(y)), tokens)
        if scene.new is not None:
            _paint_new(painter, frame, scene.new, tokens=tokens)

    def mousePressEvent(self, event: QMouseEvent) -> None:
        """Tell which dot it was."""
        at = event.position()
        frame = self.scene.frame(QSizeF(self.size()))
        key = self.scene.nearest(frame, px=at.x(), py=at.y())
        if key is not None:
            self._choose(key)

    def keyPressEvent(self, event: QKeyEvent) -> None:
        """Go from dot to dot."""
        direction = {Qt.Key.Key_Left: -1, Qt.Key.Key_Right: 1}.get(Qt.Key(event.key()))
        key = self.scene.beside(direction) if direction else None
        if key is None:
            super().keyPressEvent(event)
        else:
            self._choose(key)

    def _choose(self, key: str) -> None:
        self.scene.chosen = key
        self.update()
        self.point_pressed.emit(key)


def _y_ticks(scene: TrendScene, frame: Frame) -> Ticks:
    if scene.is_empty and scene.limits is None and scene.fixed_y is None:
        return Ticks(labelled=(), words=())  # no figure, no scale
    return value_ticks(frame.y, most=max(2.0, min(6.0, frame.height / _PX_A_WORD)))


def _x_lines(scene: TrendScene) -> Ticks:
    if scene.ticks is not None:
        return scene.ticks
    edges = [group.high for group in scene.groups[:-1]]
    return Ticks(labelled=tuple(edges), words=("",) * len(edges))


def _x_words(scene: TrendScene) -> Ticks:
    if scene.ticks is not None:
        return scene.ticks
    return Ticks(
        labelled=tuple((group.low + group.high) / 2 for group in scene.groups),
        words=tuple(group.word for group in scene.groups),
    )


def _paint_due(painter: QPainter, frame: Frame, scene: TrendScene, *, tokens: Tokens) -> None:
    due = scene.due
    if due is None or not frame.x.low < due.x < frame.x.high:
        return
    x = frame.px_of(due.x)
    rest = QRectF(x, frame.top, frame.right_edge - x, frame.height)
    painter.fillRect(rest, tinted(tokens.ink, 0.05))
    painter.setPen(dashed_pen(tokens.ink3))
    painter.drawLine(QLineF(x, frame.top, x, frame.bottom))
    high = frame.top + _LINE / 2
    limit = scene.limits.upper if scene.limits is not None else None
    if limit is not None and abs(frame.py_of(limit) - high) < _LINE:  # words under it, not over it
        high = frame.py_of(limit) + _LINE / 2 + 2
    at = QPointF(x - 6, high)
    veil = tinted(tokens.plot, 0.9)
    write(painter, at, due.words, colour=tokens.ink2, anchor=Anchor.RIGHT, veil=veil)


def _paint_limits(painter: QPainter, frame: Frame, scene: TrendScene, *, tokens: Tokens) -> None:
    limits = scene.limits
    if limits is None:
        return
    sides: tuple[tuple[Sense, float | None], ...] = (
        ("upper", limits.upper),
        ("lower", limits.lower),
    )
    for sense, value in sides:
        if value is not None:
            mask = PlotMask(name="", sense=sense, hz=np.empty(0), values=np.array([value]))
            paint_mask(painter, frame, mask, tokens=tokens)
    if limits.upper is not None and limits.words:
        at = QPointF(frame.left + 7, frame.py_of(limits.upper) - 14)
        write(painter, at, limits.words, colour=tokens.ink2, veil=tinted(tokens.plot, 0.8))


def _paint_points(painter: QPainter, frame: Frame, scene: TrendScene, *, tokens: Tokens) -> None:
    points = scene.points
    seen = np.isfinite(points.y) & (points.x >= frame.x.low) & (points.x <= frame.x.high)
    x, y = frame.px(points.x[seen]), frame.py(points.y[seen])
    painter.setRenderHint(QPainter.RenderHint.Antialiasing)
    painter.setBrush(Qt.BrushStyle.NoBrush)
    if points.joined:
        painter.setPen(ink_pen(tokens.ink2))
        painter.drawPath(open_path(inside(x, y, frame=frame)))
    if points.interval is not None:
        half = np.nan_to_num(points.interval[seen]) * (frame.height / frame.y.length)
        painter.setPen(ink_pen(tokens.ink2, width=1.6))
        painter.drawLines([QLineF(a, b - h, a, b + h) for a, b, h in zip(x, y, half, strict=True)])
    fails = np.zeros(x.shape, dtype=bool) if points.fails is None else points.fails[seen]
    across = _FEW_DOT if x.size < _MANY else _DOT
    paint_dots(painter, x[~fails], y[~fails], across=across, colour=tokens.ink2)
    for a, b in zip(x[fails], y[fails], strict=True):
        glyphs.paint(painter, Mark.BAD, _about(QPointF(a, b)), tokens=tokens)


def _paint_means(painter: QPainter, frame: Frame, scene: TrendScene, *, tokens: Tokens) -> None:
    pen = ink_pen(tokens.takes[0], width=2.2)
    pen.setCapStyle(Qt.PenCapStyle.FlatCap)
    painter.setPen(pen)
    for group in scene.groups:
        if group.mean is not None:
            y = frame.py_of(group.mean)
            left, right = frame.px_of(group.low) + 6, frame.px_of(group.high) - 6
            painter.drawLine(QLineF(left, y, max(left + 4, right), y))


def _paint_ring(painter: QPainter, at: QPointF, tokens: Tokens) -> None:
    painter.setBrush(QColor(tokens.plot))
    painter.setPen(ink_pen(tokens.takes[0], width=2))
    painter.drawEllipse(at, _RING, _RING)


def _paint_new(painter: QPainter, frame: Frame, new: NewPoint, *, tokens: Tokens) -> None:
    at = QPointF(frame.px_of(new.x), frame.py_of(new.y))
    if new.interval is not None:
        half = new.interval * frame.height / frame.y.length
        painter.setPen(ink_pen(tokens.takes[0], width=1.6))
        top, bottom = max(at.y() - half, frame.top), min(at.y() + half, frame.bottom)
        painter.drawLine(QLineF(at.x(), top, at.x(), bottom))
    painter.setBrush(QColor(tokens.plot))
    painter.setPen(ink_pen(tokens.takes[0], width=2))
    painter.drawEllipse(at, _RING - 1, _RING - 1)
    beside = at + QPointF(-12, 22)
    colour = tokens.takes[0]
    write(painter, beside, new.words, colour=colour, bold=True, anchor=Anchor.RIGHT)


def _write_note(
    painter: QPainter, frame: Frame, at: QPointF, *, words: str, tokens: Tokens
) -> None:
    fits = at.x() + _GLYPH + width_of(words) < frame.right_edge
    beside = at + QPointF(_GLYPH if fits else -_GLYPH, 0)
    anchor = Anchor.LEFT if fits else Anchor.RIGHT
    write(painter, beside, words, colour=tokens.ink2, anchor=anchor, veil=tinted(tokens.plot, 0.8))


def _about(at: QPointF) -> QRectF:
    return QRectF(at.x() - _GLYPH / 2, at.y() - _GLYPH / 2, _GLYPH, _GLYPH)
