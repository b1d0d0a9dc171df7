"""Painting of what is measured on its own way: over the top of the strip to the card's inputs.

One cable takes them all; where a second wire joins it enters at a slant, as wires join a bundle
in a circuit drawing, so that nobody reads a junction there.
"""

from collections.abc import Mapping, Sequence

from PySide6.QtCore import QPointF, QRectF, Qt
from PySide6.QtGui import QColor, QFontMetricsF, QPainter, QPen, QPolygonF

from app.desktop.fonts import font
from app.desktop.palette import Tokens
from app.desktop.presenters.strip_state import LINKS, PathState
from app.desktop.strip.links import WIRE_Y, Place

_Y = 9.5  # of the cable
_SLANT = 6.0
_TOP = {"output": 10.0, "sense": 6.0, "unit": 11.0}  # of symbols, above the wire


def paint_paths(
    painter: QPainter,
    paths: Sequence[PathState],
    places: Mapping[str, Place],
    *,
    tokens: Tokens,
    playing: bool,
) -> None:
    """Paint every path, and over them their labels."""
    ordered = sorted(paths, key=lambda path: LINKS.index(path.key))
    end = places["input"].left + 13
    for number, path in enumerate(ordered):
        _paint_one(painter, path, places, end, joins=number > 0, tokens=tokens, playing=playing)
    for path in ordered:
        _paint_label(painter, path, places, tokens=tokens, playing=playing)


def _paint_one(
    painter: QPainter,
    path: PathState,
    places: Mapping[str, Place],
    end: float,
    *,
    joins: bool,
    tokens: Tokens,
    playing: bool,
) -> None:
    hue = tokens.bad if path.over else tokens.focus if playing else tokens.edge
    pen = QPen(QColor(hue if path.is_there else tokens.ink3), 1.2)
    if not path.is_there:
        pen.setDashPattern([1.5, 2.5])
    painter.setPen(pen)
    painter.setBrush(Qt.BrushStyle.NoBrush)
    x = places[path.key].left + 13
    foot = QPointF(x, WIRE_Y - _TOP[path.key])
    if joins:
        line = [foot, QPointF(x, _Y + _SLANT), QPointF(x + _SLANT, _Y)]
    else:
        line = [foot, QPointF(x, _Y), QPointF(end, _Y), QPointF(end, WIRE_Y - 10)]
    painter.drawPolyline(QPolygonF(line))


def _paint_label(
    painter: QPainter,
    path: PathState,
    places: Mapping[str, Place],
    *,
    tokens: Tokens,
    playing: bool,
) -> None:
    is_level = playing and path.key == "sense" and path.is_there
    face = font(11, bold=is_level or path.over)
    left = places[path.key].left + 27
    wide = QFontMetricsF(face).horizontalAdvance(path.label)
    painter.fillRect(QRectF(left - 5, _Y - 7, wide + 10, 14), QColor(tokens.deck))
    painter.setFont(face)
    hue = tokens.bad if path.over else tokens.ink if is_level else tokens.ink2
    painter.setPen(QColor(hue))
    painter.drawText(QPointF(left, _Y + 4), path.label)
