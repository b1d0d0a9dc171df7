"""The ground of a plot: paper, grid in one stroke a weight, words at the labelled lines."""

from collections.abc import Iterable

from PySide6.QtCore import QLineF, QPointF, QRectF, QSizeF, Qt
from PySide6.QtGui import QColor, QPainter

from app.desktop.palette import Tokens
from app.desktop.plots.frame import Frame
from app.desktop.plots.pens import ink_pen
from app.desktop.plots.ticks import Ticks
from app.desktop.plots.write import Anchor, width_of, write

_WORD_GAP = 6  # px between a word and the frame
_PX, _SMALL_PX = 11.0, 9.0  # of words; the smaller where they would leave the gutter
_RIGHT_WORDS = 32.0  # px of the right gutter that words may take
_LEAST_APART = 7  # px between words of the x axis
_RIGHT_ROOM = 15  # px right of the frame, the least of all gutters


def paint_grid(painter: QPainter, frame: Frame, *, x: Ticks, y: Ticks, tokens: Tokens) -> None:
    """Paint the lines of both axes and the bottom line; no frame, no tick marks."""
    painter.setRenderHint(QPainter.RenderHint.Antialiasing, False)
    for colour, across, along in (
        (tokens.grid2, x.minor, y.minor),
        (tokens.grid, x.labelled, y.labelled),
    ):
        painter.setPen(ink_pen(colour))
        painter.drawLines([*_upright(frame, across), *_level(frame, along)])
    painter.setPen(ink_pen(tokens.edge))
    bottom = round(frame.bottom) + 0.5
    painter.drawLine(QLineF(frame.left, bottom, frame.right_edge, bottom))


def paint_paper(painter: QPainter, rect: QRectF, tokens: Tokens) -> None:
    """Fill the plot's ground."""
    painter.fillRect(rect, QColor(tokens.plot))


def paint_ring(painter: QPainter, size: QSizeF, tokens: Tokens) -> None:
    """Paint the ring about what has the keyboard."""
    painter.setRenderHint(QPainter.RenderHint.Antialiasing, False)
    painter.setBrush(Qt.BrushStyle.NoBrush)
    painter.setPen(ink_pen(tokens.focus, width=2))
    painter.drawRect(QRectF(1, 1, size.width() - 2, size.height() - 2))


def write_y_words(
    painter: QPainter, frame: Frame, ticks: Ticks, *, tokens: Tokens, right: bool = False
) -> None:
    """Write the words of a value axis beside the frame, clear of its ends."""
    room = _RIGHT_WORDS if right else frame.left - 9
    px = _PX if all(width_of(word) <= room for word in ticks.words) else _SMALL_PX
    for value, word in zip(ticks.labelled, ticks.words, strict=True):
        y = frame.py_of(value, right=right)
        at = QPointF(frame.right_edge + _WORD_GAP, y) if right else QPointF(frame.left - 7, y)
        anchor = Anchor.LEFT if right else Anchor.RIGHT
        write(painter, at, word, colour=tokens.ink3, px=px, anchor=anchor)


def write_x_words(painter: QPainter, frame: Frame, ticks: Ticks, *, tokens: Tokens) -> None:
    """Write the words under the frame: both ends, then decades, then others where there is room."""
    y = frame.bottom + 13
    placed: list[tuple[float, float]] = []
    words = list(zip(ticks.labelled, ticks.words, strict=True))
    inner = sorted(words[1:-1], key=lambda labelled: not labelled[1].startswith("1"))
    for place, word in [*words[:1], *words[-1:], *inner]:
        half = width_of(word) / 2
        middle = min(frame.px_of(place), frame.right_edge + _RIGHT_ROOM - half)
        span = (middle - half, middle + half)
        if all(span[0] >= b + _LEAST_APART or span[1] <= a - _LEAST_APART for a, b in placed):
            write(painter, QPointF(middle, y), word, colour=tokens.ink3, anchor=Anchor.MIDDLE)
            placed.append(span)


def _upright(frame: Frame, places: Iterable[float]) -> list[QLineF]:
    at = [round(frame.px_of(place)) + 0.5 for place in places]
    return [QLineF(x, frame.top, x, frame.bottom) for x in at]


def _level(frame: Frame, values: Iterable[float]) -> list[QLineF]:
    at = [round(frame.py_of(value)) + 0.5 for value in values]
    return [QLineF(frame.left, y, frame.right_edge, y) for y in at]
