"""Curves with their bands: solid where they may be believed, thin dots where not."""

import numpy as np
from PySide6.QtCore import Qt
from PySide6.QtGui import QPainter

from app.desktop.palette import Tokens
from app.desktop.plots.area import fill_between
from app.desktop.plots.drawn import Drawn
from app.desktop.plots.frame import Frame
from app.desktop.plots.line import LineRole
from app.desktop.plots.pens import Standing, colour_of, dotted_pen, line_pen, tinted
from app.desktop.plots.stroke import stroke
from app.desktop.plots.trace import Trace, trace
from dsp.arrays import Floats

_FLOOR_ALPHA = 0.06
Valid = tuple[float, float] | None


def paint_curve(
    painter: QPainter,
    frame: Frame,
    curve: Drawn,
    *,
    valid: Valid,
    tokens: Tokens,
    standing: Standing = Standing.PLAIN,
    many: bool = False,
) -> None:
    """Paint one curve; ``valid`` holds, in units of the axis, where it has none of its own."""
    pen = line_pen(curve.line, tokens, standing=standing)
    if many and curve.line.role is LineRole.OVERLAY and standing is not Standing.LIFTED:
        pen.setWidthF(1.0)  # a fifth of the time, and among so many nobody misses the rest
    low, high = curve.valid or valid or (-np.inf, np.inf)
    painter.setRenderHint(QPainter.RenderHint.Antialiasing)
    painter.setBrush(Qt.BrushStyle.NoBrush)
    stroke(painter, _part(frame, curve, part=(low, high)), pen, many=many)
    dots = dotted_pen(curve.line, tokens, standing=standing)
    for part in ((-np.inf, low), (high, np.inf)):
        if part[0] < part[1] and np.isfinite(part).any():
            stroke(painter, _part(frame, curve, part=part), dots)


def paint_band(painter: QPainter, frame: Frame, curve: Drawn, *, tokens: Tokens) -> None:
    """Paint a curve's interval: its colour let through, no edge."""
    if curve.band is None:
        return
    colour = tinted(colour_of(curve.line, tokens), tokens.band_alpha)
    fill_between(painter, frame, x=curve.x, sides=curve.band, colour=colour, right=curve.right)


def paint_floor(painter: QPainter, frame: Frame, curve: Drawn, *, tokens: Tokens) -> None:
    """Shade what lies below a floor of noise, where nothing can be read."""
    foot = np.full(curve.y.shape, frame.y.low)
    colour = tinted(tokens.ink, _FLOOR_ALPHA)
    fill_between(painter, frame, x=curve.x, sides=(foot, curve.y), colour=colour)


def _part(frame: Frame, curve: Drawn, *, part: tuple[float, float]) -> Trace:
    x, y = between(curve.x, curve.y, part=part)
    return trace(frame, x, y, right=curve.right)


def between(x: Floats, y: Floats, *, part: tuple[float, float]) -> tuple[Floats, Floats]:
    """Cut a curve to a part of its axis, with points at the cuts themselves."""
    low, high = part
    first, last = np.searchsorted(x, [low, high])
    kept_x, kept_y = x[first:last], y[first:last]
    if x.size and x[0] < low < x[-1]:
        kept_x = np.concatenate([[low], kept_x])
        kept_y = np.concatenate([[np.interp(low, x, y)], kept_y])
    if x.size and x[0] < high < x[-1]:
        kept_x = np.concatenate([kept_x, [high]])
        kept_y = np.concatenate([kept_y, [np.interp(high, x, y)]])
    return kept_x, kept_y
