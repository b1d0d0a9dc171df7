"""The response of a microphone as a table of Hz, dB and perhaps degrees, as suppliers send it."""

import math
import re
from collections.abc import Iterator
from dataclasses import dataclass
from itertools import pairwise
from pathlib import Path

from hardware.chain.snapshot import ResponseTable
from hardware.errors import FileError
from hardware.toml_file import read_text

_MOST_DB = 60.0  # beyond this a column is not what it is taken for
_COMMENT = ("#", "*", "//", "%")
_COLUMNS = (2, 3)


@dataclass(frozen=True, slots=True, kw_only=True)
class _Row:
    line: int
    values: tuple[float, ...]


def read_response(path: Path) -> ResponseTable:
    """Read a response table.

    Columns are separated by semicolons, tabs, commas or blanks, whichever the first row has;
    with semicolons or tabs a comma is a decimal one. One header line, blank lines, and comments
    after ``#``, ``*``, ``%`` or ``//`` are skipped.

    Parameters
    ----------
    path : Path
        UTF-8; Hz strictly rising, dB, and perhaps deg.

    Returns
    -------
    ResponseTable, (n,) with n of at least 2.

    Raises
    ------
    FileError
        Names file, line and value.
    """
    rows = list(_rows(read_text(path), name=str(path)))
    if len(rows) < 2:
        raise FileError(str(path), "too few rows", given=len(rows), allowed="2 or more")
    for before, row in pairwise(rows):
        if len(row.values) != len(rows[0].values):
            raise FileError(
                str(path),
                "other columns than above",
                line=row.line,
                given=len(row.values),
                allowed=len(rows[0].values),
            )
        if row.values[0] <= before.values[0]:
            raise FileError(
                str(path),
                "frequencies do not rise",
                line=row.line,
                given=f"{row.values[0]:g} Hz",
                allowed=f"above {before.values[0]:g} Hz",
            )
    columns = list(zip(*(row.values for row in rows), strict=True))
    return ResponseTable(hz=columns[0], db=columns[1], deg=columns[2] if columns[2:] else ())


def _rows(text: str, *, name: str) -> Iterator[_Row]:
    separator, titled = "", False
    for line, whole in enumerate(text.split("\n"), start=1):
        content = whole.strip()
        if not content or content.startswith(_COMMENT):
            continue
        separator = separator or _separator(content)
        cells = _cells(content, separator=separator)
        if not titled and _number(cells[0]) is None:
            titled, separator = True, ""  # a header may be separated otherwise than its rows
            continue
        titled = True
        yield _row(cells, name=name, line=line)


def _separator(content: str) -> str:
    return next((mark for mark in ";\t," if mark in content), " ")


def _cells(content: str, *, separator: str) -> list[str]:
    if separator == " ":
        return content.split()
    cells = [cell.strip() for cell in content.split(separator)]
    if not cells[-1]:
        cells.pop()  # a separator at the end of a line separates nothing
    return [cell.replace(",", ".") for cell in cells] if separator in ";\t" else cells


def _number(cell: str) -> float | None:
    plain = cell.strip("\"'")
    if not re.fullmatch(r"[+-]?(\d+\.?\d*|\.\d+)([eE][+-]?\d+)?", plain, re.ASCII):
        return None
    value = float(plain)
    return value if math.isfinite(value) else None


def _row(cells: list[str], *, name: str, line: int) -> _Row:
    if len(cells) not in _COLUMNS:
        raise FileError(
            name, "wrong number of columns", line=line, given=len(cells), allowed="Hz, dB[, deg]"
        )
    values = []
    for title, cell in zip(("Hz", "dB", "deg"), cells, strict=False):
        if (value := _number(cell)) is None:
            raise FileError(name, "not a number", line=line, key=title, given=cell or "nothing")
        values.append(value)
    if values[0] <= 0:
        raise FileError(
            name, "not positive", line=line, key="Hz", given=f"{values[0]:g}", allowed="above 0"
        )
    if abs(values[1]) > _MOST_DB:
        raise FileError(
            name,
            "no response relative to the sensitivity",
            line=line,
            key="dB",
            given=f"{values[1]:g}",
            allowed=f"{-_MOST_DB:g} to {_MOST_DB:g}",
        )
    return _Row(line=line, values=tuple(values))
