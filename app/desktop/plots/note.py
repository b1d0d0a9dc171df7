"""A few words at a place in a plot: a serial beside its curve, by how much a mask is broken."""

from dataclasses import dataclass


@dataclass(frozen=True, slots=True, kw_only=True)
class PlotNote:
    """Words above a place; ``is_bad`` writes them in the colour of what does not conform.

    ``hz`` in Hz, ``value`` in the unit of the left axis.
    """

    hz: float
    value: float
    words: str
    bold: bool = False
    is_bad: bool = False
    below: bool = False
