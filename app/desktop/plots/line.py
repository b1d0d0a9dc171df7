"""A curve in a plot: what it is decides how it is drawn, whose it is decides its colour."""

from dataclasses import dataclass
from enum import Enum

import numpy as np

from dsp.arrays import Floats, read_only


class LineRole(Enum):
    """Which quantity or standing a curve has; line style tells it, never its colour."""

    TAKE = "take"  # the chosen take's quantity
    OVERLAY = "overlay"  # another take's
    REFERENCE = "reference"  # of the reference unit or take
    PHASE = "phase"
    H2 = "H2"
    H3 = "H3"
    H4 = "H4"
    H5 = "H5"
    THD = "THD"
    HIGH = "high orders"
    FLOOR = "noise floor"
    LIVE = "live"  # still growing while it plays
    MASK_OLD = "before"  # a mask as it was: in force, as opened, or of another revision
    OTHER = "other"


@dataclass(frozen=True, slots=True, eq=False, kw_only=True)
class PlotLine:
    """One curve of a plot, as a presenter hands it over.

    Attributes
    ----------
    name : str
        As it stands in the head: ``take 42``, ``phase``.
    x : (n,) array
        Hz (or ms, V: the plot's), rising.
    y : (n,) array
        In ``unit``; NaN where there is nothing to draw.
    role : LineRole
        How it is drawn.
    take : int
        1 to 4: colour of that take; 0: ink.
    right : bool
        Whether it is read at the right axis.
    interval : (n,) array or None
        Half width of the 95 % interval, in ``unit``; drawn as a band.
    valid : (low, high) or None
        Where it may be believed, in the unit of ``x``; None: as the plot.
    reason, high_reason : str
        One or two words each on what ends the valid range below and above.
    unit : str
        Short unit behind the figure in the head; empty where the plot's head says it.
    decimals : int
        Places of its figure where no interval decides them.
    """

    name: str
    x: Floats
    y: Floats
    role: LineRole
    take: int = 1
    right: bool = False
    interval: Floats | None = None
    valid: tuple[float, float] | None = None
    reason: str = ""
    high_reason: str = ""
    unit: str = ""
    decimals: int = 1

    def __post_init__(self) -> None:
        x, y = (np.asarray(values, dtype=np.float64) for values in (self.x, self.y))
        if x.ndim != 1 or x.shape != y.shape:
            raise ValueError(f"line {self.name}: shapes differ: given {x.shape} and {y.shape}")
        object.__setattr__(self, "x", read_only(x))
        object.__setattr__(self, "y", read_only(y))
        if self.interval is not None:
            interval = np.asarray(self.interval, dtype=np.float64)
            if interval.shape != x.shape:
                raise ValueError(f"line {self.name}: interval {interval.shape}, needed {x.shape}")
            object.__setattr__(self, "interval", read_only(interval))

    def at(self, x: float) -> float:
        """Return its value at a place, straight over log x between points; NaN outside."""
        return _at(self.x, self.y, x)

    def interval_at(self, x: float) -> float:
        """Return half the width of its interval at a place; NaN where there is none."""
        return float("nan") if self.interval is None else _at(self.x, self.interval, x)


def _at(x: Floats, y: Floats, place: float) -> float:
    if not x.size or not x[0] * (1 - 1e-9) <= place <= x[-1] * (1 + 1e-9):
        return float("nan")
    if x[0] <= 0:
        return float(np.interp(place, x, y))
    return float(np.interp(np.log(place), np.log(x), y))
