"""Painting of what is measured on its own way: over the top of the strip to the card's inputs.

One cable takes them all; where a second wire joins it enters at a slant, as wires join a bundle
in a circuit drawing, so that nobody reads a junction there.
"""

from collections.abc import Mapping

from PySide6.QtCore import QPointF, QRectF, Qt
from PySide6.QtGui import QColor, QFontMetricsF, QPen, QPolygonF

from app.desktop.fonts import font
from app.desktop.presenters.strip_state import LINKS, PathState, StripState
from app.desktop.strip.links import WIRE_Y, Pencil, Place

_Y = 9.5  # of the cable
_SLANT = 6.0
_TOP = {"output": 10.0, "sense": 6.0, "unit": 11.0}  # of symbols, above the wire


def paint_paths(pencil: Pencil, state: StripState, places: Mapping[str, Place]) -> None:
    """Paint every path, and over them their labels."""
    ordered = sorted(state.paths, key=lambda path: LINKS.index(path.key))
    end = places["input"].left + 13
    for number, path in enumerate(ordered):
        start = places[path.key].left + 13
        _set_pen(pencil, path, playing=state.is_sounding)
        foot = QPointF(start, WIRE_Y - _TOP[path.key])
        if number:
            line = [foot, QPointF(start, _Y + _SLANT), QPointF(start + _SLANT, _Y)]
        else:
            line = [foot, QPointF(start, _Y), QPointF(end, _Y), QPointF(end, WIRE_Y - 10)]
        pencil.painter.drawPolyline(QPolygonF(line))
    for path in ordered:
        _paint_label(pencil, path, places[path.key].left + 27, playing=state.is_sounding)


def _set_pen(pencil: Pencil, path: PathState, *, playing: bool) -> None:
    tokens = pencil.tokens
    hue = tokens.bad if path.over else tokens.focus if playing else tokens.edge
    pen = QPen(QColor(hue if path.is_there else tokens.ink3), 1.2)
    if not path.is_there:
        pen.setDashPattern([1.5, 2.5])
    pencil.painter.setPen(pen)
    pencil.painter.setBrush(Qt.BrushStyle.NoBrush)


def _paint_label(pencil: Pencil, path: PathState, left: float, *, playing: bool) -> None:
    tokens = pencil.tokens
    is_level = playing and path.key == "sense" and path.is_there
    face = font(11, bold=is_level or path.over)
    wide = QFontMetricsF(face).horizontalAdvance(path.label)
    pencil.painter.fillRect(QRectF(left - 5, _Y - 7, wide + 10, 14), QColor(tokens.deck))
    hue = tokens.bad if path.over else tokens.ink if is_level else tokens.ink2
    pencil.write(path.label, QPointF(left, _Y + 4), face=face, hue=hue)
