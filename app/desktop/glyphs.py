"""The eight marks as painted paths: each has an outline of its own, so grey is enough."""

from collections.abc import Callable
from dataclasses import dataclass

from PySide6.QtCore import QPointF, QRectF, Qt
from PySide6.QtGui import QColor, QPainter, QPainterPath, QPen, QPolygonF

from app.desktop.palette import Tokens
from app.desktop.presenters.mark import Mark

_GRID = 16.0  # all paths are drawn on a square of this side


@dataclass(frozen=True, slots=True, kw_only=True)
class GlyphInks:
    """Colours of one glyph: what is filled, the edge about it, the sign upon it."""

    fill: QColor
    edge: QColor
    sign: QColor


def paint(painter: QPainter, mark: Mark, rect: QRectF, *, tokens: Tokens) -> None:
    """Paint a mark into the largest square in the middle of ``rect``."""
    paint_in(painter, mark, rect, inks=inks_of(mark, tokens))


def paint_in(painter: QPainter, mark: Mark, rect: QRectF, *, inks: GlyphInks) -> None:
    """Paint a mark in given colours, as on a solid verdict panel."""
    side = min(rect.width(), rect.height())
    painter.save()
    painter.setRenderHint(QPainter.RenderHint.Antialiasing)
    painter.translate(rect.center() - QPointF(side / 2, side / 2))
    painter.scale(side / _GRID, side / _GRID)
    _DRAWN[mark](painter, inks)
    painter.restore()


def inks_of(mark: Mark, tokens: Tokens) -> GlyphInks:
    """Return the colours of a mark in a theme."""
    on_fill = QColor(tokens.paper if tokens.is_dark else tokens.plot)
    match mark:
        case Mark.GOOD:
            return GlyphInks(fill=QColor(tokens.ok), edge=QColor(tokens.ok), sign=on_fill)
        case Mark.BAD:
            return GlyphInks(fill=QColor(tokens.bad), edge=QColor(tokens.bad), sign=on_fill)
        case Mark.UNDECIDED | Mark.STALE | Mark.CAUTION:
            dark = QColor(tokens.on_att)
            return GlyphInks(fill=QColor(tokens.att), edge=dark, sign=dark)
        case Mark.BUSY:
            hue = QColor(tokens.takes[0])
            return GlyphInks(fill=hue, edge=hue, sign=hue)
        case Mark.NONE | Mark.INFO:
            quiet = QColor(tokens.ink2)
            return GlyphInks(fill=quiet, edge=quiet, sign=quiet)


def _pen(colour: QColor, width: float) -> QPen:
    cap, join = Qt.PenCapStyle.RoundCap, Qt.PenJoinStyle.RoundJoin
    return QPen(colour, width, Qt.PenStyle.SolidLine, cap, join)


def _filled(painter: QPainter, inks: GlyphInks, *, edge: float) -> None:
    painter.setBrush(inks.fill)
    painter.setPen(_pen(inks.edge, edge) if edge else QPen(Qt.PenStyle.NoPen))


def _strokes(painter: QPainter, inks: GlyphInks, width: float, *lines: list[QPointF]) -> None:
    painter.setBrush(Qt.BrushStyle.NoBrush)
    painter.setPen(_pen(inks.sign, width))
    for points in lines:
        painter.drawPolyline(QPolygonF(points))


def _good(painter: QPainter, inks: GlyphInks) -> None:
    _filled(painter, inks, edge=0)
    painter.drawEllipse(QPointF(8, 8), 7.4, 7.4)
    _strokes(painter, inks, 2.0, [QPointF(4.6, 8.4), QPointF(7.1, 10.8), QPointF(11.5, 5.4)])


def _bad(painter: QPainter, inks: GlyphInks) -> None:
    _filled(painter, inks, edge=0)
    painter.drawRect(QRectF(1, 1, 14, 14))
    _strokes(
        painter,
        inks,
        2.0,
        [QPointF(5, 5), QPointF(11, 11)],
        [QPointF(11, 5), QPointF(5, 11)],
    )


def _undecided(painter: QPainter, inks: GlyphInks) -> None:
    _filled(painter, inks, edge=1.2)
    painter.drawPolygon(
        QPolygonF([QPointF(8, 0.8), QPointF(15.2, 8), QPointF(8, 15.2), QPointF(0.8, 8)])
    )
    _strokes(painter, inks, 1.9, [QPointF(4.8, 8), QPointF(11.2, 8)])


def _stale(painter: QPainter, inks: GlyphInks) -> None:
    _filled(painter, inks, edge=1.2)
    painter.drawEllipse(QPointF(8, 8), 6.8, 6.8)
    _strokes(painter, inks, 1.6, [QPointF(8, 4.2), QPointF(8, 8.4), QPointF(10.8, 9.9)])


def _caution(painter: QPainter, inks: GlyphInks) -> None:
    _filled(painter, inks, edge=1.2)
    painter.drawPolygon(QPolygonF([QPointF(8, 1.4), QPointF(15.2, 14.4), QPointF(0.8, 14.4)]))
    _strokes(painter, inks, 1.7, [QPointF(8, 6), QPointF(8, 9.6)])
    painter.setBrush(inks.sign)
    painter.setPen(Qt.PenStyle.NoPen)
    painter.drawEllipse(QPointF(8, 12.1), 0.95, 0.95)


def _none(painter: QPainter, inks: GlyphInks) -> None:
    pen = QPen(inks.edge, 1.5)
    pen.setCapStyle(Qt.PenCapStyle.FlatCap)
    eighth = 6.4 * 3.1416 / 8  # a dash and a gap, sixteen about the ring
    pen.setDashPattern([eighth / 1.5, eighth / 1.5])
    painter.setPen(pen)
    painter.setBrush(Qt.BrushStyle.NoBrush)
    painter.drawEllipse(QPointF(8, 8), 6.4, 6.4)


def _busy(painter: QPainter, inks: GlyphInks) -> None:
    painter.setBrush(Qt.BrushStyle.NoBrush)
    painter.setPen(_pen(inks.sign, 2.2))
    arc = QPainterPath()
    arc.arcMoveTo(QRectF(2, 2, 12, 12), 90)
    arc.arcTo(QRectF(2, 2, 12, 12), 90, -270)
    painter.drawPath(arc)


def _info(painter: QPainter, inks: GlyphInks) -> None:
    painter.setBrush(Qt.BrushStyle.NoBrush)
    painter.setPen(_pen(inks.edge, 1.3))
    painter.drawEllipse(QPointF(8, 8), 6.6, 6.6)
    _strokes(painter, inks, 1.6, [QPointF(8, 7.4), QPointF(8, 11.4)])
    painter.setBrush(inks.sign)
    painter.setPen(Qt.PenStyle.NoPen)
    painter.drawEllipse(QPointF(8, 4.9), 1.0, 1.0)


_DRAWN: dict[Mark, Callable[[QPainter, GlyphInks], None]] = {
    Mark.GOOD: _good,
    Mark.BAD: _bad,
    Mark.UNDECIDED: _undecided,
    Mark.STALE: _stale,
    Mark.CAUTION: _caution,
    Mark.NONE: _none,
    Mark.BUSY: _busy,
    Mark.INFO: _info,
}
