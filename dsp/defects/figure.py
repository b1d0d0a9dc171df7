"""One figure of a defect: an estimate where it stands clear of the noise, elsewhere a bound."""

from dataclasses import dataclass


@dataclass(frozen=True, slots=True, kw_only=True)
class Figure:
    """A value with what the noise leaves open.

    Attributes
    ----------
    value : float
        Unit as its owner says; NaN where it could not be read at all.
    uncertainty : float
        Expanded, k = 2, same unit; NaN at bounds.
    is_bound : bool
        True: noise hides the figure, and ``value`` is what it is at most.
    """

    value: float
    uncertainty: float
    is_bound: bool
