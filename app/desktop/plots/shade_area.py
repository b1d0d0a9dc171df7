"""A span of the axis: shaded, with an edge on either side, and words at its foot."""

import math

from PySide6.QtCore import QLineF, QPointF, QRectF
from PySide6.QtGui import QPainter

from app.desktop.palette import Tokens
from app.desktop.plots.frame import Frame
from app.desktop.plots.pens import ink_pen, tinted
from app.desktop.plots.shade import PlotShade
from app.desktop.plots.write import width_of, write

_ALPHA = 0.08
_UP = 34.0  # px from the bottom to the middle of the words: above those of a valid range
_ROOM = 6.0  # px at either side of words


def paint_shade(painter: QPainter, frame: Frame, shade: PlotShade, *, tokens: Tokens) -> None:
    """Paint the span, cut at the edges of the frame."""
    left, right = _span(frame, shade)
    if right <= left:
        return
    painter.fillRect(
        QRectF(left, frame.top, right - left, frame.height), tinted(tokens.ink, _ALPHA)
    )
    painter.setPen(ink_pen(tokens.ink3))
    for end in (shade.low, shade.high):
        x = frame.px_of(math.log10(end))
        if frame.left <= x <= frame.right_edge:
            painter.drawLine(QLineF(x, frame.top, x, frame.bottom))


def write_shade(painter: QPainter, frame: Frame, shade: PlotShade, *, tokens: Tokens) -> None:
    """Write its words where there is room for them."""
    left, right = _span(frame, shade)
    if right <= left or not shade.words:
        return
    write(
        painter,
        QPointF(words_left(frame, shade), frame.bottom - _UP),
        shade.words,
        colour=tokens.ink2,
        veil=tinted(tokens.plot, 0.75),
    )


def words_left(frame: Frame, shade: PlotShade) -> float:
    """Return where its words begin, px: in the middle of it, else right of it, else left."""
    left, right = _span(frame, shade)
    wide = width_of(shade.words)
    if right - left >= wide + 2 * _ROOM:
        return (left + right - wide) / 2
    if frame.right_edge - right >= wide + _ROOM:
        return right + _ROOM
    return left - _ROOM - wide


def _span(frame: Frame, shade: PlotShade) -> tuple[float, float]:
    ends = (frame.px_of(math.log10(end)) for end in (shade.low, shade.high))
    left, right = (min(max(end, frame.left), frame.right_edge) for end in ends)
    return left, right
