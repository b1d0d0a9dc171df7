"""The spread of stored units: range, middle 95 %, median; quiet ink, for they are the ground."""

import numpy as np
from PySide6.QtCore import Qt
from PySide6.QtGui import QPainter

from app.desktop.palette import Tokens
from app.desktop.plots.area import fill_between
from app.desktop.plots.frame import Frame
from app.desktop.plots.paths import open_path
from app.desktop.plots.pens import ink_pen, tinted
from app.desktop.plots.spread import PlotSpread
from app.desktop.plots.trace import trace

RANGE_ALPHA, MIDDLE_ALPHA = 0.06, 0.13


def paint_spread(painter: QPainter, frame: Frame, spread: PlotSpread, *, tokens: Tokens) -> None:
    """Paint what units have in common."""
    x = np.log10(spread.hz)
    for low, high, alpha in (
        (spread.low, spread.high, RANGE_ALPHA),
        (spread.p2, spread.p97, MIDDLE_ALPHA),
    ):
        fill_between(painter, frame, x=x, sides=(low, high), colour=tinted(tokens.ink, alpha))
    painter.setBrush(Qt.BrushStyle.NoBrush)
    painter.setPen(ink_pen(tokens.ink, width=1.4))
    painter.drawPath(open_path(trace(frame, x, spread.median)))
