"""Levels over two axes of frequency, as a presenter hands them over."""

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from dsp.arrays import Floats, read_only


@dataclass(frozen=True, slots=True, kw_only=True)
class Tile:
    """One place of a map: Hz played, Hz heard, and the level there."""

    x_hz: float
    y_hz: float
    level: float


@dataclass(frozen=True, slots=True, eq=False, kw_only=True)
class LevelMap:
    """Tiles in columns; between columns there may be nothing.

    Attributes
    ----------
    x_hz, x_low, x_high : (m,) arrays
        Hz, middle and edges of each column, rising.
    y_hz, y_low, y_high : (k,) arrays
        Hz, likewise of each row.
    level : (k, m) array
        In the unit of the plot.
    low, high : float
        Ends of the ramp.
    orders : tuple of int
        Multiples of what was played that are drawn as lines.
    marks_hz : tuple of float
        Hz played at which something stands out for a moment.
    """

    x_hz: Floats
    x_low: Floats
    x_high: Floats
    y_hz: Floats
    y_low: Floats
    y_high: Floats
    level: Floats
    low: float
    high: float
    orders: tuple[int, ...] = ()
    marks_hz: tuple[float, ...] = ()

    def __post_init__(self) -> None:
        if self.level.shape != (self.y_hz.size, self.x_hz.size):
            raise ValueError(
                f"map: {self.level.shape}, needed {(self.y_hz.size, self.x_hz.size)} tiles"
            )
        for name in ("x_hz", "x_low", "x_high", "y_hz", "y_low", "y_high", "level"):
            object.__setattr__(self, name, read_only(getattr(self, name)))

    def at(self, x_hz: float | None, y_hz: float | None) -> Tile | None:
        """Return the tile at a place; None beside all of them."""
        if x_hz is None or y_hz is None:
            return None
        column = place_in(np.array([x_hz]), low=self.x_low, high=self.x_high)[0]
        row = place_in(np.array([y_hz]), low=self.y_low, high=self.y_high)[0]
        if column < 0 or row < 0:
            return None
        return Tile(
            x_hz=float(self.x_hz[column]),
            y_hz=float(self.y_hz[row]),
            level=float(self.level[row, column]),
        )


def place_in(hz: Floats, *, low: Floats, high: Floats) -> NDArray[np.intp]:
    """Return in which of some spans each frequency lies, (n,); -1 for none."""
    found = np.searchsorted(low, hz, side="right") - 1
    held = (found >= 0) & (hz <= high[np.maximum(found, 0)])
    return np.where(held, found, -1)
