"""Dots, and diamonds: painted one by one as long as there are few enough, else as points."""

from PySide6.QtCore import QPointF, Qt
from PySide6.QtGui import QColor, QPainter, QPen, QPolygonF

from app.desktop.palette import Tokens
from app.desktop.plots.paths import polygon
from dsp.arrays import Floats

_FEW = 3000
_TALLER = 1.35  # than a dot: as much area


def paint_dots(
    painter: QPainter, x: Floats, y: Floats, *, across: float, colour: str, of: int = 0
) -> None:
    """Paint dots ``across`` px wide at px (n,); Qt's points are quick, but lumpy when small.

    ``of`` is how many the plot has where others are painted apart: all are painted alike.
    """
    painter.setRenderHint(QPainter.RenderHint.Antialiasing)
    if max(of, x.size) > _FEW:
        pen = QPen(QColor(colour), max(1.0, across))
        pen.setCapStyle(Qt.PenCapStyle.RoundCap)
        painter.setPen(pen)
        painter.drawPoints(polygon(x, y))
        return
    # One by one: a thousand of them in one path take ten times as long.
    painter.setPen(Qt.PenStyle.NoPen)
    painter.setBrush(QColor(colour))
    for a, b in zip(x, y, strict=True):
        painter.drawEllipse(QPointF(a, b), across / 2, across / 2)


def paint_diamonds(
    painter: QPainter, x: Floats, y: Floats, *, across: float, tokens: Tokens, of: int = 0
) -> None:
    """Paint the diamonds of what is not decided, about as large as dots ``across`` px wide."""
    painter.setRenderHint(QPainter.RenderHint.Antialiasing)
    if max(of, x.size) > _FEW:
        for colour, wide in ((tokens.ink, across), (tokens.att, across - 2)):
            painter.setPen(QPen(QColor(colour), max(1.0, wide)))
            painter.drawPoints(polygon(x, y))
        return
    for a, b in zip(x, y, strict=True):
        paint_diamond(painter, QPointF(a, b), across=across, tokens=tokens)


def paint_diamond(painter: QPainter, at: QPointF, *, across: float, tokens: Tokens) -> None:
    """Paint one of them: yellow, with an outline, as the mark of that word is."""
    half = max(1.5, across * _TALLER / 2)
    painter.setPen(QPen(QColor(tokens.ink), 1))
    painter.setBrush(QColor(tokens.att))
    corners = ((0.0, -half), (half, 0.0), (0.0, half), (-half, 0.0))
    painter.drawPolygon(QPolygonF([at + QPointF(dx, dy) for dx, dy in corners]))
