"""One line of the table: what was measured, and the bar that it is held against."""

from dataclasses import dataclass
from typing import Literal


@dataclass(frozen=True, slots=True, kw_only=True)
class Row:
    """One measured figure.

    ``bar`` is the most that is allowed, or the lowest and the highest, or None where a figure is
    only told. ``measured`` is a median where it is a time, and the worst where it is an error.
    """

    what: str
    bar: float | tuple[float, float] | None
    measured: float
    unit: str
    better: Literal["lower", "within"] = "lower"
    note: str = ""

    @property
    def ratio(self) -> float | None:
        """1 at the bar, less inside it; for a span, the way from its middle over half its width."""
        match self.bar:
            case None:
                return None
            case (low, high):
                return abs(self.measured - (low + high) / 2) / ((high - low) / 2)
            case bar:
                return self.measured / bar

    @property
    def bar_text(self) -> str:
        """The bar as a person reads it."""
        match self.bar:
            case None:
                return "–"
            case (low, high):
                return f"{low:g} to {high:g} {self.unit}"
            case bar:
                return f"≤ {bar:g} {self.unit}"
