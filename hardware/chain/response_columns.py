"""Which column of a supplied response is what, and in which unit, by the words above it."""

import math
from collections.abc import Sequence
from dataclasses import dataclass

_FREQUENCY = ("freq", "hz")
_LEVEL = ("db", "level", "magnitude", "response", "amplitude", "sensitivity", "gain", "spl")
_PHASE = ("phase", "deg", "°", "rad")


@dataclass(frozen=True, slots=True, kw_only=True)
class Columns:
    """Where the three quantities stand.

    Attributes
    ----------
    hz, db : int
        Column, from 0.
    deg : int or None
        Column; None where there is no phase.
    per_hz, per_deg : float
        What a number of that column is to be multiplied by.
    notes : tuple of str
        What a person should know of how it was read.
    """

    hz: int
    db: int
    deg: int | None
    per_hz: float = 1.0
    per_deg: float = 1.0
    notes: tuple[str, ...] = ()


def named_columns(titles: Sequence[str]) -> Columns | None:
    """Find the columns by their titles.

    Parameters
    ----------
    titles : sequence of str
        Cells of a heading.

    Returns
    -------
    Columns, or None where no frequency or no level is named: then this line is no heading.
    """
    words = [title.lower() for title in titles]
    hz = _first(words, _FREQUENCY, other=())
    if hz is None:
        return None
    deg = _first(words, _PHASE, other=(hz,))
    db = _first(words, _LEVEL, other=(hz,) if deg is None else (hz, deg))
    if db is None:
        return None
    notes = []
    per_hz, per_deg = 1.0, 1.0
    if "khz" in words[hz]:
        per_hz = 1000.0
        notes.append("frequencies are in kHz")
    if deg is not None and "rad" in words[deg]:
        per_deg = 180 / math.pi
        notes.append("the phase is in rad")
    left = [
        title for place, title in enumerate(titles) if place not in {hz, db, deg} and title.strip()
    ]
    if left:
        notes.append(f"not read: {', '.join(left)}")
    return Columns(hz=hz, db=db, deg=deg, per_hz=per_hz, per_deg=per_deg, notes=tuple(notes))


def columns_by_place(count: int) -> Columns | None:
    """Find the columns of a table that nobody named.

    Parameters
    ----------
    count : int
        How many there are.

    Returns
    -------
    Columns of Hz, dB and perhaps degrees, or None for another number.
    """
    return Columns(hz=0, db=1, deg=2 if count == 3 else None) if count in {2, 3} else None


def _first(words: Sequence[str], wanted: Sequence[str], *, other: Sequence[int]) -> int | None:
    # The earlier word of the list decides: "phase" before "deg", "dB" before "response".
    for word in wanted:
        for place, title in enumerate(words):
            if place not in other and word in title:
                return place
    return None
