"""An impedance as it goes round with frequency, as a presenter hands it over."""

from dataclasses import dataclass

import numpy as np

from app.desktop.plots.line import LineRole, PlotLine
from dsp.arrays import Complexes, Floats, read_only


@dataclass(frozen=True, slots=True, eq=False, kw_only=True)
class Locus:
    """One impedance over frequency.

    Attributes
    ----------
    name : str
        In the head.
    hz : (n,) array
        Rising.
    ohm : (n,) complex array
        NaN where there is nothing to draw.
    take : int
        1 to 4: colour of that take; 0: ink.
    dots : bool
        Points as they were measured, rather than a line.
    """

    name: str
    hz: Floats
    ohm: Complexes
    take: int = 1
    dots: bool = False

    def __post_init__(self) -> None:
        if self.hz.ndim != 1 or self.hz.shape != self.ohm.shape:
            raise ValueError(f"locus {self.name}: shapes {self.hz.shape} and {self.ohm.shape}")
        object.__setattr__(self, "hz", read_only(self.hz))
        object.__setattr__(self, "ohm", read_only(self.ohm))

    def at(self, hz: float | None) -> complex | None:
        """Return it at a frequency, straight over log f between points; None outside."""
        if hz is None or not self.hz.size:
            return None
        if not self.hz[0] * (1 - 1e-9) <= hz <= self.hz[-1] * (1 + 1e-9):
            return None
        at, places = np.log(hz), np.log(self.hz)
        found = complex(
            float(np.interp(at, places, self.ohm.real)), float(np.interp(at, places, self.ohm.imag))
        )
        return found if np.isfinite(found) else None

    def lines(self) -> tuple[PlotLine, PlotLine]:
        """Return resistance and reactance as curves over frequency, for a table."""
        role = LineRole.TAKE if self.take else LineRole.REFERENCE
        real, imaginary = self.ohm.real.copy(), self.ohm.imag.copy()
        return (
            PlotLine(name=f"R, {self.name}", x=self.hz, y=real, role=role, take=self.take),
            PlotLine(name=f"X, {self.name}", x=self.hz, y=imaginary, role=role, take=self.take),
        )
