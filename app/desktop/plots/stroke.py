"""Strokes of curves, the quick way where the fine one would cost frames.

One outline round a noisy curve crosses itself at every turn, and Qt works all of that out: 9 ms for
400 points 1.5 px wide. The same segments one by one take 0.4 ms. Where they overlap the edge is
darker: by a tenth or so on noisy curves, where nobody can tell, up to a quarter on smooth ones.
"""

import numpy as np
from PySide6.QtCore import Qt
from PySide6.QtGui import QPaintEngine, QPainter, QPen

from app.desktop.plots.paths import open_path, segments
from app.desktop.plots.trace import Trace

_ROUGH = 1 / 12  # turns up or down for each point, from which on a curve is noisy


def stroke(painter: QPainter, trace: Trace, pen: QPen, *, many: bool = False) -> None:
    """Stroke a trace; ``many`` says that it is one of so many that speed counts."""
    if (many or _is_rough(trace)) and _is_slow(painter, pen):
        pen = QPen(pen)
        pen.setCapStyle(Qt.PenCapStyle.SquareCap)  # closes the corners
        path = segments(trace)
    else:
        path = open_path(trace)
    if not path.isEmpty():
        painter.setPen(pen)
        painter.drawPath(path)


def _is_rough(trace: Trace) -> bool:
    step = np.diff(trace.y[np.isfinite(trace.y)])
    turns = np.count_nonzero(step[:-1] * step[1:] < 0)
    return bool(turns > _ROUGH * trace.y.size)


def _is_slow(painter: QPainter, pen: QPen) -> bool:
    # A line of one pixel is quick in any case; a drawing is to be read by others, piece by piece.
    if painter.paintEngine().type() == QPaintEngine.Type.SVG:
        return False
    is_wide = pen.widthF() * painter.deviceTransform().m11() > 1
    return is_wide and pen.style() == Qt.PenStyle.SolidLine
