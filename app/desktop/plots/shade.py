"""A span of the axis that means something, as a presenter hands it over."""

from dataclasses import dataclass


@dataclass(frozen=True, slots=True, kw_only=True)
class PlotShade:
    """From ``low`` to ``high``, in the unit of the x axis; ``words`` stand in it, or beside it."""

    low: float
    high: float
    words: str = ""
