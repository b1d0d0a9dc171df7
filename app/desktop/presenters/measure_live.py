"""Curves that grow while a take plays: to be watched, never to be judged."""

import math
from collections.abc import Mapping
from dataclasses import dataclass

import numpy as np

from app.desktop.plots.line import LineRole, PlotLine
from app.desktop.presenters.figures import hz_text
from app.desktop.presenters.measure_scene import PlotName
from app.measure.live import LiveReading
from dsp import Floats


@dataclass(frozen=True, slots=True, kw_only=True)
class LiveCurves:
    """All that was read of the take that plays.

    Attributes
    ----------
    number : int
        That the take will have.
    readings : tuple of LiveReading
        In the order in which they came.
    """

    number: int
    readings: tuple[LiveReading, ...] = ()

    @property
    def now_hz(self) -> float | None:
        """What sounded last, Hz."""
        return self.readings[-1].hz if self.readings else None

    @property
    def now_text(self) -> str:
        """The same, for the cursor's flag."""
        return "" if self.now_hz is None else f"{hz_text(self.now_hz)} now"


def with_readings(curves: LiveCurves, fresh: tuple[LiveReading, ...]) -> LiveCurves:
    """Let the curves grow by what was read since."""
    return LiveCurves(number=curves.number, readings=(*curves.readings, *fresh))


def live_lines(curves: LiveCurves) -> Mapping[PlotName, PlotLine]:
    """Return the growing curves, by plot; empty before the first reading."""
    points = sorted({one.hz: one for one in curves.readings}.values(), key=lambda one: one.hz)
    if not points:
        return {}
    hz = np.array([one.hz for one in points])
    level = _line(curves, hz, [one.level_db for one in points])
    ohms = _line(curves, hz, [one.impedance_ohm for one in points])
    return {PlotName.LEVEL: level, PlotName.LEVEL_IMPEDANCE: level, PlotName.IMPEDANCE: ohms}


def _line(curves: LiveCurves, hz: Floats, values: list[float | None]) -> PlotLine:
    return PlotLine(
        name=f"take {curves.number}",
        x=hz,
        y=np.array([math.nan if one is None else one for one in values]),
        role=LineRole.LIVE,
    )
