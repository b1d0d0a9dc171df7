"""All that a trend shows, and where its axes lie."""

from dataclasses import dataclass, field

import numpy as np
from PySide6.QtCore import QSizeF

from app.desktop.plots.frame import Frame, Span
from app.desktop.plots.frequency_scene import BOTTOM, LEFT, NO_RIGHT, TOP
from app.desktop.plots.ticks import Ticks
from app.desktop.plots.trend_data import (
    Due,
    NewPoint,
    TrendGroup,
    TrendLimits,
    TrendNote,
    TrendPoints,
)
from app.desktop.presenters.figures import interval_text, value_text

_PAD = 0.08
_REACH = 8.0  # px


@dataclass(slots=True, kw_only=True)
class TrendScene:
    """What is shown; changed by the plot, read by what paints it."""

    points: TrendPoints = field(default_factory=TrendPoints)
    groups: tuple[TrendGroup, ...] = ()
    ticks: Ticks | None = None
    limits: TrendLimits | None = None
    due: Due | None = None
    new: NewPoint | None = None
    notes: tuple[TrendNote, ...] = ()
    fixed_x: Span | None = None
    fixed_y: Span | None = None
    hint: str = ""
    chosen: str | None = None

    @property
    def is_empty(self) -> bool:
        """Whether there is nothing to see."""
        return not self.points.keys and not self.notes and self.new is None

    @property
    def chosen_index(self) -> int | None:
        """Which point is chosen."""
        keys = self.points.keys
        return keys.index(self.chosen) if self.chosen in keys else None

    @property
    def chosen_words(self) -> str:
        """Its figure."""
        index = self.chosen_index
        if index is None:
            return ""
        interval = None
        if self.points.interval is not None:
            interval = float(self.points.interval[index])
        value = value_text(float(self.points.y[index]), interval)
        return " ".join(part for part in (value, interval_text(interval)) if part)

    def frame(self, size: QSizeF) -> Frame:
        """Return where the axes lie in a widget of a size, px."""
        return Frame(
            left=LEFT,
            top=TOP,
            width=max(size.width() - LEFT - NO_RIGHT, 10.0),
            height=max(size.height() - TOP - BOTTOM, 10.0),
            x=self.fixed_x or self._x_span(),
            y=self.fixed_y or self._y_span(),
        )

    def nearest(self, frame: Frame, *, px: float, py: float) -> str | None:
        """Return the key of the point within reach of a pixel."""
        points = self.points
        if not points.keys:
            return None
        away = np.hypot(frame.px(points.x) - px, frame.py(points.y) - py)
        if np.isnan(away).all():
            return None
        index = int(np.nanargmin(away))
        return points.keys[index] if away[index] <= _REACH else None

    def beside(self, direction: int) -> str | None:
        """Return the key of the next point in the order of x."""
        points = self.points
        if not points.keys:
            return None
        order = np.argsort(points.x, kind="stable")
        if self.chosen_index is None:
            return points.keys[int(order[0 if direction > 0 else -1])]
        at = int(np.flatnonzero(order == self.chosen_index)[0]) + direction
        return points.keys[int(order[at])] if 0 <= at < order.size else None

    def _x_span(self) -> Span:
        places = [note.x for note in self.notes]
        if self.points.x.size:
            places += [float(self.points.x.min()), float(self.points.x.max())]
        places += [end for group in self.groups for end in (group.low, group.high)]
        places += [self.new.x] if self.new else []
        places += [self.due.x] if self.due else []
        if not places:
            return Span(low=0.0, high=1.0)
        low, high = min(places), max(places)
        pad = 0.0 if self.groups else _PAD * ((high - low) or 1.0)
        return Span(low=low - pad, high=max(high + pad, low + 1e-9))

    def _y_span(self) -> Span:
        points, limits = self.points, self.limits
        half = 0.0 if points.interval is None else np.nan_to_num(points.interval)
        known = np.isfinite(points.y)
        values = [note.y for note in self.notes]
        if known.any():
            values += [float((points.y - half)[known].min()), float((points.y + half)[known].max())]
        if self.new is not None:
            values += [self.new.y]
        if limits is not None:
            values += [end for end in (limits.lower, limits.upper) if end is not None]
        values = [value for value in values if np.isfinite(value)]
        if not values:
            return Span(low=0.0, high=1.0)
        low, high = min(values), max(values)
        pad = _PAD * (high - low) or 0.05 * abs(high) or 1.0
        # Hatches and the words at a limit need more room than a dot.
        return Span(low=low - 1.6 * pad, high=high + 1.6 * pad)
