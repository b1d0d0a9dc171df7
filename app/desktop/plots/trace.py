"""A curve in pixels: no more points than the screen can show, nothing beyond the frame."""

from dataclasses import dataclass

import numpy as np

from app.desktop.plots.frame import Frame
from dsp.arrays import Floats


@dataclass(frozen=True, slots=True, eq=False, kw_only=True)
class Trace:
    """Points in px, (n,); NaN parts the pieces."""

    x: Floats
    y: Floats


def trace(frame: Frame, x: Floats, y: Floats, *, right: bool = False) -> Trace:
    """Bring a curve into a frame.

    ``x`` (n,) in units of the axis, rising; ``y`` (n,), NaN where there is nothing. Narrow peaks
    survive: of each column of pixels first, lowest, highest and last value stay.
    """
    near = _near(x, frame=frame)
    px, py = frame.px(x[near]), frame.py(y[near], right=right)
    return inside(*_columns(px, py), frame=frame)


def inside(x: Floats, y: Floats, *, frame: Frame) -> Trace:
    """Cut a polyline in px at the edges of a frame; a picture file has no clipping of its own."""
    if _lies_inside(x, y, frame=frame):
        return Trace(x=x, y=y)
    for edge in (frame.left, frame.right_edge):
        y, x = _with_crossings(y, x, edge=edge)
    for edge in (frame.top, frame.bottom):
        x, y = _with_crossings(x, y, edge=edge)
    slack = 1e-6
    out = (x < frame.left - slack) | (x > frame.right_edge + slack)
    out |= (y < frame.top - slack) | (y > frame.bottom + slack)
    return Trace(x=np.where(out, np.nan, x), y=np.where(out, np.nan, y))


def _lies_inside(x: Floats, y: Floats, *, frame: Frame) -> bool:
    # NaN compares as false, so a curve with holes goes the long way.
    in_x = np.all((x >= frame.left) & (x <= frame.right_edge))
    return bool(in_x and np.all((y >= frame.top) & (y <= frame.bottom)))


def _near(x: Floats, *, frame: Frame) -> slice:
    # One point more on either side, so that the curve runs on to the edge.
    first = int(np.searchsorted(x, frame.x.low, side="right")) - 1
    last = int(np.searchsorted(x, frame.x.high, side="left")) + 1
    return slice(max(first, 0), max(last, 0))


def _columns(px: Floats, py: Floats) -> tuple[Floats, Floats]:
    column = np.floor(px)
    starts = np.flatnonzero(np.diff(column, prepend=-np.inf))
    if px.size <= 4 * starts.size:
        return px, py
    ends = np.append(starts[1:], px.size) - 1
    low, high = np.fmin.reduceat(py, starts), np.fmax.reduceat(py, starts)
    x = np.column_stack([px[starts], column[starts] + 0.5, column[starts] + 0.5, px[ends]])
    y = np.column_stack([py[starts], low, high, py[ends]])
    return x.ravel(), y.ravel()


def _with_crossings(along: Floats, across: Floats, *, edge: float) -> tuple[Floats, Floats]:
    before, after = across[:-1], across[1:]
    at = np.flatnonzero((before - edge) * (after - edge) < 0)
    if not at.size:
        return along, across
    part = (edge - before[at]) / (after[at] - before[at])
    crossing = along[at] + part * (along[at + 1] - along[at])
    return np.insert(along, at + 1, crossing), np.insert(across, at + 1, edge)
