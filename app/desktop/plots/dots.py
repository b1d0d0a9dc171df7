"""Round dots: painted one by one as long as there are few enough for it, else as points."""

from PySide6.QtCore import QPointF, Qt
from PySide6.QtGui import QColor, QPainter, QPen

from app.desktop.plots.paths import polygon
from dsp.arrays import Floats

_FEW = 3000


def paint_dots(painter: QPainter, x: Floats, y: Floats, *, across: float, colour: str) -> None:
    """Paint dots ``across`` px wide at px (n,); Qt's points are quick, but lumpy when small."""
    painter.setRenderHint(QPainter.RenderHint.Antialiasing)
    if x.size > _FEW:
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
