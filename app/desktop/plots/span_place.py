"""A place on a linear axis."""

from dataclasses import dataclass


@dataclass(frozen=True, slots=True, kw_only=True)
class Place:
    """An upright line with its word on top; ``low`` and ``high`` shade what is as likely."""

    x: float
    word: str
    low: float | None = None
    high: float | None = None
