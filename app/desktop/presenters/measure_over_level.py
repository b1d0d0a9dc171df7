"""Distortion over the drive, as a plot."""

import math

import numpy as np

from app.desktop.plots.line import LineRole, PlotLine
from app.desktop.presenters.figures import hz_text
from app.desktop.presenters.measure_scene import PlotState
from app.measure.over_level import Driven, OverLevel
from dsp import Floats

DEFAULT_HZ = 1000.0  # until a person puts the cursor somewhere
_SHOWN = {
    "thd": ("THD", LineRole.THD),
    "h2": ("H2", LineRole.H2),
    "h3": ("H3", LineRole.H3),
    "high_order": ("high", LineRole.HIGH),
}
_AXIS_V = (0.1, 10.0)
_UNIT = "dB re fundamental, over V rms"
_TWO = 2
_SPAN_DB = 65.0
_NONE = "Play this unit at two levels or more: its distortion appears here over the drive."


def over_level_title(hz: float) -> str:
    """Return what the plot is about."""
    return f"Distortion at {hz_text(hz)}"


def over_level_plot(over: OverLevel | None) -> PlotState:
    """Present distortion over the drive; None: nothing is known yet."""
    if over is None or over.drive_v.size < _TWO:
        return PlotState(unit=_UNIT, hint=_NONE, y=(-_SPAN_DB, 0.0))
    lines = [
        _line(name, driven.level_db, over=over, role=role, driven=driven)
        for key, (name, role) in _SHOWN.items()
        for driven in (over.quantities[key],)
    ]
    floor = over.quantities["thd"].floor_db
    if np.isfinite(floor).any():
        lines.append(_line("floor", floor, over=over, role=LineRole.FLOOR))
    known = [line.y[np.isfinite(line.y)] for line in lines]
    highest = max((float(y.max()) for y in known if y.size), default=-20.0)
    top = min(0.0, 10.0 * math.ceil((highest + 2.0) / 10.0))
    return PlotState(unit=_UNIT, lines=tuple(lines), y=(top - _SPAN_DB, top))


def drive_axis(over: OverLevel | None) -> tuple[float, float]:
    """Return the span of the axis, V: at least a decade, with the drives inside."""
    if over is None or not over.drive_v.size:
        return _AXIS_V
    low, high = float(over.drive_v[0]) / 1.3, float(over.drive_v[-1]) * 1.3
    middle = math.sqrt(low * high)
    wide = math.sqrt(10.0)
    return (min(low, middle / wide), max(high, middle * wide))


def _line(
    name: str, y: Floats, *, over: OverLevel, role: LineRole, driven: Driven | None = None
) -> PlotLine:
    return PlotLine(
        name=name,
        x=over.drive_v,
        y=y,
        role=role,
        interval=None if driven is None else driven.uncertainty_db,
    )
