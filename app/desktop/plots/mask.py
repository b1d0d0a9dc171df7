"""A limit in a plot: ink with short hatches on the forbidden side, so it needs no colour."""

from dataclasses import dataclass, replace
from typing import Literal

import numpy as np

from dsp.arrays import Floats, read_only

Sense = Literal["upper", "lower"]
_APART = 2 ** (1 / 96)  # the least ratio of neighbouring points; nearer can't be told apart


@dataclass(frozen=True, slots=True, eq=False, kw_only=True)
class PlotMask:
    """One limit line, upper or lower.

    Attributes
    ----------
    name : str
        Which mask; signals of the plot carry it.
    sense : str
        ``upper``: forbidden above; ``lower``: forbidden below.
    hz : (n,) array
        Hz of its break points, rising; empty with one value: the same limit everywhere.
    values : (n,) array
        In the plot's unit; between the points it runs straight over log f.
    draft : bool
        Being edited; shown in the head as such.
    editable : bool
        Its points have handles.
    old : (hz, values) or None
        As it was before; a thin dashed line.
    broken_by : tuple of str or None
        Names of the lines held against it; None: takes, overlays and THD.
    chosen : int or None
        The point whose handle is large.
    course : (hz, values) or None
        What it runs through, on an axis where it bends between its points; None: straight.
    """

    name: str
    sense: Sense
    hz: Floats
    values: Floats
    draft: bool = False
    editable: bool = False
    old: tuple[Floats, Floats] | None = None
    broken_by: tuple[str, ...] | None = None
    chosen: int | None = None
    course: tuple[Floats, Floats] | None = None

    def __post_init__(self) -> None:
        hz, values = (np.asarray(given, dtype=np.float64) for given in (self.hz, self.values))
        if values.ndim != 1 or not values.size or hz.size not in {values.size, 0}:
            raise ValueError(f"mask {self.name}: shapes differ: given {hz.shape}, {values.shape}")
        object.__setattr__(self, "hz", read_only(hz))
        object.__setattr__(self, "values", read_only(values))

    @property
    def is_single(self) -> bool:
        """Whether one value holds at every frequency."""
        return not self.hz.size

    @property
    def outward(self) -> int:
        """+1 where the forbidden side is above, -1 where it is below."""
        return 1 if self.sense == "upper" else -1

    def at(self, hz: Floats) -> Floats:
        """Return the limit at frequencies in Hz, (n,); NaN where there is none."""
        if self.is_single:
            return np.full(hz.shape, self.values[0])
        places, values = self.course or (self.hz, self.values)
        limit: Floats = np.interp(np.log(hz), np.log(places), values, left=np.nan, right=np.nan)
        return limit

    def moved(self, index: int, *, hz: float, value: float) -> "PlotMask":
        """Return it with one point elsewhere; a point never passes its neighbours."""
        values = self.values.copy()
        values[index] = value
        if self.is_single:
            return replace(self, values=values, chosen=index)
        places = self.hz.copy()
        low = places[index - 1] * _APART if index > 0 else 0.0
        high = places[index + 1] / _APART if index + 1 < places.size else np.inf
        places[index] = min(max(hz, low), high)
        return replace(self, hz=places, values=values, chosen=index, course=None)
