"""A mask in pixels: firm line, hatches on the forbidden side, handles while it is a draft."""

import numpy as np
from PySide6.QtCore import QLineF, QPointF, Qt
from PySide6.QtGui import QColor, QPainter

from app.desktop.palette import Tokens
from app.desktop.plots.frame import Frame
from app.desktop.plots.mask import PlotMask
from app.desktop.plots.paths import open_path
from app.desktop.plots.pens import dashed_pen, ink_pen
from app.desktop.plots.trace import Trace, inside

_PITCH = 8.0  # px between hatches
_HATCH = (5.0, 7.0)  # px, along and outward
_HANDLE, _CHOSEN, _RING = 4.0, 6.0, 10.0  # px, radii
REACH = 8.0  # px, how far from a handle or a line it can still be taken


def paint_mask(painter: QPainter, frame: Frame, mask: PlotMask, *, tokens: Tokens) -> None:
    """Paint one limit, and under it what it was before."""
    painter.setRenderHint(QPainter.RenderHint.Antialiasing)
    painter.setBrush(Qt.BrushStyle.NoBrush)
    if mask.old is not None:
        hz, values = mask.old
        old = inside(frame.px(np.log10(hz)), frame.py(values), frame=frame)
        painter.setPen(dashed_pen(tokens.ink, alpha=0.75))
        painter.drawPath(open_path(old))
    course = course_px(frame, mask)
    painter.setPen(ink_pen(tokens.ink, alpha=0.5))
    painter.drawLines(_hatches(frame, course, outward=mask.outward))
    pen = ink_pen(tokens.ink, width=1.6)
    pen.setJoinStyle(Qt.PenJoinStyle.MiterJoin)
    painter.setPen(pen)
    painter.drawPath(open_path(inside(course.x, course.y, frame=frame)))
    if mask.editable:
        corners = corners_px(frame, mask)
        _paint_handles(painter, frame, mask, corners=corners, tokens=tokens)


def corners_px(frame: Frame, mask: PlotMask) -> Trace:
    """Return a mask's break points in px; a single value runs from edge to edge."""
    if mask.is_single:
        y = frame.py_of(float(mask.values[0]))
        return Trace(x=np.array([frame.left, frame.right_edge]), y=np.array([y, y]))
    return Trace(x=frame.px(np.log10(mask.hz)), y=frame.py(mask.values))


def course_px(frame: Frame, mask: PlotMask) -> Trace:
    """Return what a mask's line runs through in px: its points, and more where it bends."""
    if mask.course is None:
        return corners_px(frame, mask)
    hz, values = mask.course
    return Trace(x=frame.px(np.log10(hz)), y=frame.py(values))


def point_near(frame: Frame, mask: PlotMask, at: QPointF) -> int | None:
    """Return the break point within reach of a pixel."""
    corners = corners_px(frame, mask)
    if mask.is_single:
        return 0 if abs(float(corners.y[0]) - at.y()) <= REACH else None
    away = np.hypot(corners.x - at.x(), corners.y - at.y())
    nearest = int(np.argmin(away))
    return nearest if away[nearest] <= REACH + _HANDLE else None


def is_on_line(frame: Frame, mask: PlotMask, at: QPointF) -> bool:
    """Tell whether a pixel lies on a mask's line, within reach."""
    course = course_px(frame, mask)
    y = np.interp(at.x(), course.x, course.y, left=np.nan, right=np.nan)
    return bool(abs(y - at.y()) <= REACH)


def _hatches(frame: Frame, corners: Trace, *, outward: int) -> list[QLineF]:
    first, last = max(corners.x[0], frame.left), min(corners.x[-1], frame.right_edge)
    along, out = _HATCH
    places = np.arange(first + _PITCH / 2, last - along / 2, _PITCH)
    feet = np.interp(places, corners.x, corners.y)
    tips = feet - outward * out
    seen = (np.minimum(feet, tips) >= frame.top) & (np.maximum(feet, tips) <= frame.bottom)
    return [
        QLineF(x, foot, x + along, tip)
        for x, foot, tip in zip(places[seen], feet[seen], tips[seen], strict=True)
    ]


def _paint_handles(
    painter: QPainter, frame: Frame, mask: PlotMask, *, corners: Trace, tokens: Tokens
) -> None:
    for index, (x, y) in enumerate(zip(corners.x, corners.y, strict=True)):
        if not frame.holds(x, y):
            continue
        at, is_chosen = QPointF(x, y), index == mask.chosen
        painter.setPen(ink_pen(tokens.ink, width=1.6))
        painter.setBrush(QColor(tokens.ink if is_chosen else tokens.plot))
        radius = _CHOSEN if is_chosen else _HANDLE
        painter.drawEllipse(at, radius, radius)
        if is_chosen:
            painter.setPen(ink_pen(tokens.focus, width=2))
            painter.setBrush(Qt.BrushStyle.NoBrush)
            painter.drawEllipse(at, _RING, _RING)
