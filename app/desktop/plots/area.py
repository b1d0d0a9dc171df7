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
    x: Floats,
    sides: tuple[Floats, Floats],
    *,
    colour: QColor,
    right: bool = False,
) -> None:
    """Fill between two ``sides`` (n,) over ``x`` (units of the axis), piece by piece past NaN."""
    areas = QPainterPath()
    good = np.isfinite(sides[0]) & np.isfinite(sides[1])
    edges = np.flatnonzero(np.diff(np.concatenate([[False], good, [False]]).astype(np.int8)))
    for start, stop in zip(edges[::2], edges[1::2], strict=True):
        piece = slice(int(start), int(stop))
        low, high = (side[piece] for side in sides)
        areas.addPolygon(outline(frame, x[piece], low, high, right=right))
    painter.setRenderHint(QPainter.RenderHint.Antialiasing)
    painter.setPen(Qt.PenStyle.NoPen)
    painter.fillPath(areas, colour)


def outline(  # noqa: PLR0917 - an axis and the two sides of one area
    frame: Frame, x: Floats, one: Floats, other: Floats, *, right: bool = False
) -> QPolygonF:
    """Return the outline between two lines, finite (n,), in px."""
    if x[0] < frame.x.low or x[-1] > frame.x.high:
        x, one, other = _cut(frame, x, one, other)
    there, back = (
        np.clip(frame.py(side, right=right), frame.top, frame.bottom) for side in (one, other)
    )
    px = frame.px(x)
    return polygon(np.concatenate([px, px[::-1]]), np.concatenate([there, back[::-1]]))


def _cut(frame: Frame, x: Floats, one: Floats, other: Floats) -> tuple[Floats, Floats, Floats]:
    inside = (x > frame.x.low) & (x < frame.x.high)
    ends = [end for end in (frame.x.low, frame.x.high) if x[0] <= end <= x[-1]]
    places = np.unique(np.concatenate([x[inside], ends]))
    return places, np.interp(places, x, one), np.interp(places, x, other)
