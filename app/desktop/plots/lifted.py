"""A unit that stands out among many."""

from dataclasses import dataclass


@dataclass(frozen=True, slots=True, kw_only=True)
class Lifted:
    """How it does: the colour of this take, 1 to 4, and a word."""

    take: int
    word: str
