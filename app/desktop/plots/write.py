"""Words in a plot, placed by an anchor; on a veil where they stand upon curves."""

from enum import Enum
from functools import lru_cache

from PySide6.QtCore import QPointF, QRectF
from PySide6.QtGui import QColor, QFontMetricsF, QPaintEngine, QPainter, QPainterPath

from app.desktop.fonts import font, load_fonts


class Anchor(Enum):
    """Which part of the words stands at the place given: part of their width left of it."""

    LEFT = 0.0
    MIDDLE = 0.5
    RIGHT = 1.0


def width_of(text: str, *, px: float = 11, bold: bool = False) -> float:
    """Return how wide words are, px."""
    return _width(text, px, bold, load_fonts.cache_info().currsize)


@lru_cache(maxsize=2048)  # the same few hundred are asked for at every frame
def _width(text: str, px: float, bold: bool, loaded: int) -> float:  # noqa: FBT001, PLR0917
    del loaded  # before our typeface is there, words are as wide as in another one
    return QFontMetricsF(font(px, bold=bold)).horizontalAdvance(text)


def write(
    painter: QPainter,
    at: QPointF,
    text: str,
    *,
    colour: str,
    px: float = 11,
    bold: bool = False,
    anchor: Anchor = Anchor.LEFT,
    veil: QColor | None = None,
) -> float:
    """Write one line centred on the height of ``at``; return its width in px."""
    made = font(px, bold=bold)
    metrics = QFontMetricsF(made)
    width = width_of(text, px=px, bold=bold)
    left = at.x() - anchor.value * width
    # Centred on capitals and figures, not on the box: descenders would lift the line.
    baseline = at.y() + metrics.capHeight() / 2
    if veil is not None:
        painter.fillRect(QRectF(left - 4, at.y() - px * 0.8, width + 8, px * 1.6), veil)
    if painter.paintEngine().type() == QPaintEngine.Type.SVG:
        # As outlines: a drawing looks the same where the typeface is not installed.
        outlines = QPainterPath()
        outlines.addText(QPointF(left, baseline), made, text)
        painter.fillPath(outlines, QColor(colour))
        return width
    painter.setFont(made)
    painter.setPen(QColor(colour))
    painter.drawText(QPointF(left, baseline), text)
    return width
