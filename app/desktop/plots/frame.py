"""Where in a widget a plot's axes lie: from values to pixels and back."""

from dataclasses import dataclass

import numpy as np

from dsp.arrays import Floats


@dataclass(frozen=True, slots=True, kw_only=True)
class Span:
    """One axis, from its left or lower end to the other."""

    low: float
    high: float

    @property
    def length(self) -> float:
        """How much it spans."""
        return self.high - self.low


@dataclass(frozen=True, slots=True, kw_only=True)
class Frame:
    """The rectangle of the axes in px, and what its edges stand for.

    ``x`` is in units of the axis as drawn: log10 of Hz in a plot over frequency, ms over time.
    ``right`` is the span of the right axis, None where there is none.
    """

    left: float
    top: float
    width: float
    height: float
    x: Span
    y: Span
    right: Span | None = None

    @property
    def right_edge(self) -> float:
        """Px."""
        return self.left + self.width

    @property
    def bottom(self) -> float:
        """Px."""
        return self.top + self.height

    def px(self, x: Floats) -> Floats:
        """Return px from the widget's left for places on the x axis, any shape."""
        return self.left + (x - self.x.low) * (self.width / self.x.length)

    def py(self, y: Floats, *, right: bool = False) -> Floats:
        """Return px from the widget's top for values, any shape."""
        span = self.right if right and self.right is not None else self.y
        return self.bottom - (y - span.low) * (self.height / span.length)

    def px_of(self, x: float) -> float:
        """Return px for one place."""
        return self.left + (x - self.x.low) * (self.width / self.x.length)

    def py_of(self, y: float, *, right: bool = False) -> float:
        """Return px for one value."""
        return float(self.py(np.array([y]), right=right)[0])

    def x_at(self, px: float) -> float:
        """Return the place under a pixel."""
        return self.x.low + (px - self.left) / self.width * self.x.length

    def y_at(self, py: float) -> float:
        """Return the value of the left axis at a pixel."""
        return self.y.low + (self.bottom - py) / self.height * self.y.length

    def holds(self, px: float, py: float) -> bool:
        """Tell whether a pixel lies inside."""
        return self.left <= px <= self.right_edge and self.top <= py <= self.bottom
