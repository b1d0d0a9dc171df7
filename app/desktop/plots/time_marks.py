"""What is marked on a time axis: the gate, and boxes that a trace must stay in."""

from dataclasses import dataclass


@dataclass(frozen=True, slots=True, kw_only=True)
class Gate:
    """Start and end of what is used of a response, in the unit of the time axis.

    ``words`` stand beside the handle; empty: how long it is.
    """

    start: float
    end: float
    words: str = ""


@dataclass(frozen=True, slots=True, kw_only=True)
class Box:
    """A span of time and value that a trace must stay in, with words above it."""

    start: float
    end: float
    low: float
    high: float
    words: str = ""
