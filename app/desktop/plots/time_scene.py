"""All that a plot over time shows, and where its axes lie."""

from dataclasses import dataclass, field

import numpy as np
from PySide6.QtCore import QSizeF

from app.desktop.plots.frame import Frame, Span
from app.desktop.plots.frequency_scene import BOTTOM, LEFT, NO_RIGHT, TOP
from app.desktop.plots.time_marks import Box, Gate
from app.desktop.presenters.figures import minus
from dsp.arrays import Floats

_BARE_LEFT, _BARE_RIGHT = 4.0, 16.0  # px
_BEFORE, _AFTER = 0.35, 2.6  # of the gate's length: what is shown about it
_HEADROOM = 1.12
_EMPTY_END = 10.0


@dataclass(slots=True, kw_only=True)
class TimeScene:
    """What is shown; changed by the plot, read by what paints it."""

    x_unit: str
    is_bare: bool = False
    t: Floats = field(default_factory=lambda: np.empty(0))
    y: Floats = field(default_factory=lambda: np.empty(0))
    gate: Gate | None = None
    boxes: tuple[Box, ...] = ()
    now: float | None = None
    fixed_x: Span | None = None
    fixed_y: Span | None = None
    hint: str = ""

    def set_trace(self, t: Floats, y: Floats) -> None:
        """Show another trace."""
        if t.ndim != 1 or t.shape != y.shape:
            raise ValueError(f"trace: shapes differ: given {t.shape} and {y.shape}")
        self.t, self.y = t, y

    @property
    def gate_words(self) -> str:
        """What stands beside the handle."""
        if self.gate is None:
            return ""
        if self.gate.words:
            return self.gate.words
        return f"gate {minus(f'{self.gate.end - self.gate.start:.3g}')} {self.x_unit}"

    def frame(self, size: QSizeF, *, x: Span | None = None) -> Frame:
        """Return where the axes lie in a widget of a size, px; ``x`` holds a span still."""
        left, right = (_BARE_LEFT, _BARE_RIGHT) if self.is_bare else (LEFT, NO_RIGHT)
        return Frame(
            left=left,
            top=TOP,
            width=max(size.width() - left - right, 10.0),
            height=max(size.height() - TOP - BOTTOM, 10.0),
            x=x or self.x_span(),
            y=self.fixed_y or self._y_span(),
        )

    def x_span(self) -> Span:
        """Return what is shown of time."""
        if self.fixed_x is not None:
            return self.fixed_x
        if self.gate is not None:
            length = max(self.gate.end - self.gate.start, 1e-6)
            low = self.gate.start - _BEFORE * length
            return Span(low=low, high=self.gate.start + _AFTER * length)
        if self.t.size > 1:
            return Span(low=float(self.t[0]), high=float(self.t[-1]))
        return Span(low=0.0, high=_EMPTY_END)

    def _y_span(self) -> Span:
        values = self.y[np.isfinite(self.y)]
        if not values.size:
            return Span(low=-1.0, high=1.0)
        if self.gate is not None or self.is_bare:
            # An impulse response lies about its zero.
            most = float(np.abs(values).max()) * _HEADROOM or 1.0
            return Span(low=-most, high=most)
        low, high = float(values.min()), float(values.max())
        low = min([low, *(box.low for box in self.boxes)])
        high = max([high, *(box.high for box in self.boxes)])
        pad = 0.1 * (high - low) or 0.1 * (abs(high) or 1.0)
        return Span(low=low - pad, high=high + pad)
