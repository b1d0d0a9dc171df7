"""Arrays to Qt's paths; the only place that needs pyqtgraph, whose way in has no Python loop."""

import numpy as np
import pyqtgraph as pg
from PySide6.QtGui import QPainterPath, QPolygonF

from app.desktop.plots.trace import Trace
from dsp.arrays import Floats


def open_path(trace: Trace) -> QPainterPath:
    """Return a trace as a path to stroke; NaN parts its pieces."""
    if trace.x.size < 2:  # a point has no direction
        return QPainterPath()
    path: QPainterPath = pg.arrayToQPath(trace.x, trace.y, connect="finite")
    return path


def segments(trace: Trace) -> QPainterPath:
    """Return a trace as a path of single segments, each with ends of its own."""
    good = np.isfinite(trace.x) & np.isfinite(trace.y)
    at = np.flatnonzero(good[:-1] & good[1:])
    if not at.size:
        return QPainterPath()
    ends = np.column_stack([at, at + 1]).ravel()
    path: QPainterPath = pg.arrayToQPath(trace.x[ends], trace.y[ends], connect="pairs")
    return path


def polygon(x: Floats, y: Floats) -> QPolygonF:
    """Return finite points (n,) as a polygon to fill."""
    if not x.size:
        return QPolygonF()
    made: QPolygonF = pg.functions.arrayToQPolygonF(x, y)
    return made
