"""The area between two lines over the same places, cut at the edges of the frame."""

import numpy as np
from PySide6.QtCore import Qt
from PySide6.QtGui import QColor, QPainter, QPainterPath, QPolygonF

from app.desktop.plots.frame import Frame
from app.desktop.plots.paths import polygon
from dsp.arrays import Floats


def fill_between(
    painter: QPainter,
    frame: Frame,
    *,
    x: Floats,
    sides: tuple[Floats, Floats],
    colour: QColor,
    right: bool = False,
) -> None:
    """Fill between two ``sides`` (n,) over ``x`` (units of the axis), piece by piece past NaN."""
    areas = QPainterPath()
    good = np.isfinite(sides[0]) & np.isfinite(sides[1])
    edges = np.flatnonzero(np.diff(np.concatenate([[False], good, [False]]).astype(np.int8)))
    for start, stop in zip(edges[::2], edges[1::2], strict=True):
        piece = slice(int(start), int(stop))
        part = (sides[0][piece], sides[1][piece])
        areas.addPolygon(outline(frame, x[piece], part, right=right))
    painter.setRenderHint(QPainter.RenderHint.Antialiasing)
    painter.setPen(Qt.PenStyle.NoPen)
    painter.fillPath(areas, colour)


def outline(
    frame: Frame, x: Floats, sides: tuple[Floats, Floats], *, right: bool = False
) -> QPolygonF:
    """Return the outline between two ``sides``, finite (n,), in px."""
    places = x if _is_seen(frame, x) else _seen_part(frame, x)
    there, back = (frame.py(np.interp(places, x, side), right=right) for side in sides)
    px = frame.px(places)
    py = np.clip(np.concatenate([there, back[::-1]]), frame.top, frame.bottom)
    return polygon(np.concatenate([px, px[::-1]]), py)


def _is_seen(frame: Frame, x: Floats) -> bool:
    return bool(x[0] >= frame.x.low and x[-1] <= frame.x.high)


def _seen_part(frame: Frame, x: Floats) -> Floats:
    inside = (x > frame.x.low) & (x < frame.x.high)
    ends = [end for end in (frame.x.low, frame.x.high) if x[0] <= end <= x[-1]]
    return np.unique(np.concatenate([x[inside], ends]))
