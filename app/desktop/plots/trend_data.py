"""What a trend shows: figures in their order, groups of them, limits, what is due."""

from dataclasses import dataclass, field

import numpy as np

from app.desktop.presenters.mark import Mark
from dsp.arrays import Bools, Floats, read_only


@dataclass(frozen=True, slots=True, eq=False, kw_only=True)
class TrendPoints:
    """Figures in their order.

    Attributes
    ----------
    x, y : (n,) array
        Number or date (any scale that rises), value; NaN values are left out.
    keys : tuple of str
        What each stands for, (n,).
    interval : (n,) array or None
        Half widths of their 95 % intervals.
    fails : (n,) bool array or None
        Those that get the mark of what does not conform.
    joined : bool
        Whether a thin line joins them.
    """

    x: Floats = field(default_factory=lambda: np.empty(0))
    y: Floats = field(default_factory=lambda: np.empty(0))
    keys: tuple[str, ...] = ()
    interval: Floats | None = None
    fails: Bools | None = None
    joined: bool = False

    def __post_init__(self) -> None:
        x, y = (np.asarray(values, dtype=np.float64) for values in (self.x, self.y))
        if x.shape != y.shape or x.size != len(self.keys):
            given = (x.shape, y.shape, len(self.keys))
            raise ValueError(f"trend: shapes differ: given {given}")
        object.__setattr__(self, "x", read_only(x))
        object.__setattr__(self, "y", read_only(y))


@dataclass(frozen=True, slots=True, kw_only=True)
class TrendGroup:
    """Part of the x axis, such as a lot, with its word under the axis and its mean."""

    low: float
    high: float
    word: str
    mean: float | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class TrendNote:
    """A mark with words at a place, such as a calibration that was refused."""

    x: float
    y: float
    mark: Mark
    words: str = ""


@dataclass(frozen=True, slots=True, kw_only=True)
class NewPoint:
    """A figure that isn't kept yet; hollow, with its words."""

    x: float
    y: float
    interval: float | None = None
    words: str = ""


@dataclass(frozen=True, slots=True, kw_only=True)
class TrendLimits:
    """Limits for every figure; None at an end without one. ``words`` stand at the upper."""

    lower: float | None = None
    upper: float | None = None
    words: str = ""


@dataclass(frozen=True, slots=True, kw_only=True)
class Due:
    """From where on the figure is overdue, with words at its edge."""

    x: float
    words: str
