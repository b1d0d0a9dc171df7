"""The response of a microphone as a table of Hz, dB and perhaps degrees, as suppliers send it."""

import math
from collections.abc import Iterator
from dataclasses import dataclass
from itertools import pairwise
from pathlib import Path

from hardware.chain.response_columns import Columns, columns_by_place, named_columns
from hardware.chain.response_text import Line, is_number, lines_of, text_of
from hardware.chain.snapshot import ResponseTable
from hardware.errors import FileError

_MOST_DB = 60.0  # beyond this a column is not what it is taken for
_REFERENCE_HZ = 1000.0
_ABSOLUTE_DB = 10.0  # farther from 0 dB at 1 kHz levels are not relative to the sensitivity


@dataclass(frozen=True, slots=True, kw_only=True)
class SuppliedResponse:
    """A response as it was supplied.

    Attributes
    ----------
    table : ResponseTable
        Relative to the sensitivity at 1 kHz.
    notes : tuple of str
        What a person should know of how it was read: units, columns left out, levels that were
        absolute, an end below which or beyond which nothing is known.
    """

    table: ResponseTable
    notes: tuple[str, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class _Row:
    line: int
    values: tuple[float, ...]


def read_response(path: Path) -> ResponseTable:
    """Read a response table.

    Parameters
    ----------
    path : Path
        As for ``read_supplied``.

    Returns
    -------
    ResponseTable, (n,) with n of at least 2.

    Raises
    ------
    FileError
        Names file, line and value.
    """
    return read_supplied(path).table


def read_supplied(path: Path) -> SuppliedResponse:
    """Read a response table, and tell how it was understood.

    Columns are separated by semicolons, tabs, commas or blanks. A comma is a decimal one where
    semicolons, tabs or blanks separate, and inside quotes. Blank lines, and comments after ``#``,
    ``*``, ``%``, ``!``, ``;`` or ``//`` are skipped, and so is whatever stands above the table.
    Where a heading names frequency and level, it says which columns those are, and whether in kHz
    or rad; otherwise they are Hz, dB and perhaps deg. Levels that are not near 0 dB at 1 kHz are
    absolute, such as dB re 1 V/Pa: their value at 1 kHz is taken off.

    Parameters
    ----------
    path : Path
        Text; frequencies strictly rising.

    Returns
    -------
    SuppliedResponse, (n,) with n of at least 2.

    Raises
    ------
    FileError
        Names file, line and value.
    """
    name = str(path)
    lines = list(lines_of(text_of(path)))
    start, columns = _table(lines, name=name)
    rows = list(_rows(lines[start:], columns=columns, name=name))
    if len(rows) < 2:
        raise FileError(name, "too few rows", given=len(rows), allowed="2 or more")
    for before, row in pairwise(rows):
        if row.values[0] <= before.values[0]:
            raise FileError(
                name,
                "frequencies do not rise",
                line=row.line,
                given=f"{row.values[0]:g} Hz",
                allowed=f"above {before.values[0]:g} Hz",
            )
    hz, db, *rest = zip(*(row.values for row in rows), strict=True)
    level_db = _at_reference(hz, db)
    notes = [*columns.notes]
    if abs(level_db) > _ABSOLUTE_DB:
        notes.append(
            f"levels are absolute: {level_db:.2f} dB at 1 kHz is taken off".replace("-", "−")
        )
        db = tuple(value - level_db for value in db)
    notes.append(f"known from {hz[0]:g} to {hz[-1]:g} Hz; beyond, the end is held and marked")
    return SuppliedResponse(
        table=ResponseTable(hz=hz, db=db, deg=rest[0] if rest else ()), notes=tuple(notes)
    )


def _table(lines: list[Line], *, name: str) -> tuple[int, Columns]:
    # Where the rows begin: below a heading that names the columns, or at the first number.
    for place, line in enumerate(lines):
        if line.starts_with_number:
            if (columns := columns_by_place(len(line.cells))) is None:
                raise FileError(
                    name,
                    "wrong number of columns",
                    line=line.number,
                    given=len(line.cells),
                    allowed="Hz, dB[, deg], or a heading that names frequency and level",
                )
            return place, columns
        if (columns := _heading(line, below=lines[place + 1 :])) is not None:
            return place + 1, columns
    return len(lines), Columns(hz=0, db=1, deg=None)


def _heading(line: Line, *, below: list[Line]) -> Columns | None:
    columns = named_columns(line.cells)
    if columns is None or (below and len(below[0].cells) < 2):
        return None
    first = len(below[0].cells) if below else len(line.cells)
    if len(line.cells) == first:
        return columns
    # A heading in words that its own blanks took apart: then the places decide.
    return columns_by_place(first)


def _rows(lines: list[Line], *, columns: Columns, name: str) -> Iterator[_Row]:
    count = len(lines[0].cells) if lines else 0
    for line in lines:
        if len(line.cells) != count:
            raise FileError(
                name,
                "other columns than above",
                line=line.number,
                given=len(line.cells),
                allowed=count,
            )
        yield _row(line, columns=columns, name=name)


def _row(line: Line, *, columns: Columns, name: str) -> _Row:
    places = [("Hz", columns.hz, columns.per_hz), ("dB", columns.db, 1.0)]
    if columns.deg is not None:
        places.append(("deg", columns.deg, columns.per_deg))
    values = []
    for title, place, factor in places:
        cell = line.cells[place]
        value = float(cell) * factor if is_number(cell) else math.nan
        if not math.isfinite(value):
            given = cell or "nothing"
            raise FileError(name, "not a number", line=line.number, key=title, given=given)
        values.append(value)
    if values[0] <= 0:
        given = f"{values[0]:g}"
        raise FileError(
            name, "not positive", line=line.number, key="Hz", given=given, allowed="above 0"
        )
    if abs(values[1]) > _MOST_DB:
        raise FileError(
            name,
            "no response relative to the sensitivity",
            line=line.number,
            key="dB",
            given=f"{values[1]:g}",
            allowed=f"{-_MOST_DB:g} to {_MOST_DB:g}",
        )
    return _Row(line=line.number, values=tuple(values))


def _at_reference(hz: tuple[float, ...], db: tuple[float, ...]) -> float:
    # Linear in log f; a table that does not reach 1 kHz says nothing about it.
    for (low, first), (high, then) in pairwise(zip(hz, db, strict=True)):
        if low <= _REFERENCE_HZ <= high:
            part = math.log(_REFERENCE_HZ / low) / math.log(high / low)
            return first + part * (then - first)
    return 0.0
