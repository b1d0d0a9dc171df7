"""A pasted table as cells: what parts its columns, and how it writes numbers."""

import re
from collections.abc import Sequence
from dataclasses import dataclass

from app.errors import BadInputError

_BLANK = {"", "-", "–", "—", "n/a", "na", "none", "∞", "inf"}
_NUMBER = re.compile(
    r"(?P<number>[+−–-]?\s*(?:\d[\d.,' \u00a0\u202f]*|\.\d+|,\d+)(?:[eE][+-]?\d+)?)\s*(?P<unit>.*)"
)
_THOUSANDS = re.compile(r"[1-9]\d{0,2}[.,]\d{3}")
_OTHER = {",": ".", ".": ","}
_SEPARATORS = ("\t", ";", "|", ",")


@dataclass(frozen=True, slots=True, kw_only=True)
class Row:
    """One line of a table.

    Attributes
    ----------
    line : int
        Counted from 1, as pasted.
    cells : tuple of str
        Without the space about them.
    """

    line: int
    cells: tuple[str, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class Cells:
    """A table parted into cells.

    Attributes
    ----------
    rows : tuple of Row
        Lines that hold something, all with as many cells.
    decimal : "." or ","
        What its numbers are written with.
    """

    rows: tuple[Row, ...]
    decimal: str


@dataclass(frozen=True, slots=True, kw_only=True)
class Figure:
    """A number as written in a cell, with the unit that stands behind it."""

    value: float
    unit: str


def parted(text: str) -> Cells:
    """Part a table that was pasted, and find out how its numbers are written.

    Raises
    ------
    BadInputError
        Empty, lines of unequal length, or numbers that can be read in two ways.
    """
    lines = [(n, line) for n, line in enumerate(text.splitlines(), start=1) if line.strip()]
    if not lines:
        raise BadInputError("table", "empty")
    separator = _separator([line for _, line in lines])
    rows = [Row(line=number, cells=_split(line, separator)) for number, line in lines]
    rows = [row for row in rows if not all(re.fullmatch(r":?-{2,}:?", one) for one in row.cells)]
    width = max(len(row.cells) for row in rows)
    rows = [Row(line=row.line, cells=row.cells + ("",) * (width - len(row.cells))) for row in rows]
    return Cells(rows=tuple(rows), decimal=_decimal(rows, separator=separator))


def is_blank(cell: str) -> bool:
    """Tell whether a cell says that there is no limit."""
    return cell.casefold() in _BLANK


def figure(cell: str, *, decimal: str) -> Figure | None:
    """Read the number in a cell; None where there is none."""
    found = _NUMBER.fullmatch(cell.strip())
    if found is None:
        return None
    digits = re.sub(r"[' \u00a0\u202f]", "", found["number"])
    digits = digits.replace("−", "-").replace("–", "-")
    thousands = "," if decimal == "." else "."
    digits = digits.replace(thousands, "").replace(decimal, ".")
    try:
        return Figure(value=float(digits), unit=found["unit"].strip())
    except ValueError:
        return None


def _separator(lines: Sequence[str]) -> str:
    for separator in _SEPARATORS:
        counts = {line.strip().strip("|").count(separator) for line in lines}
        if min(counts) > 0 and (separator != "," or len(counts) == 1):
            return separator
    for pattern in (r"\s{2,}", r"\s+"):
        counts = {len(re.split(pattern, line.strip())) for line in lines}
        if len(counts) == 1 and counts != {1}:
            return pattern
    raise BadInputError(
        "table",
        "columns are not told apart",
        given=lines[-1].strip()[:40],
        allowed="tabs, semicolons or commas between them",
    )


def _split(line: str, separator: str) -> tuple[str, ...]:
    if separator in _SEPARATORS:
        trimmed = line.strip().strip("|") if separator == "|" else line.strip("\r\n")
        return tuple(cell.strip().strip('"').strip() for cell in trimmed.split(separator))
    return tuple(re.split(separator, line.strip()))


def _decimal(rows: Sequence[Row], *, separator: str) -> str:
    """Tell a decimal comma from a comma between thousands; the whole table writes alike."""
    if separator == ",":
        return "."
    cells = [cell for row in rows for cell in row.cells if _NUMBER.fullmatch(cell)]
    numbers = [re.sub(r"[^\d.,]", "", _number(cell)) for cell in cells]
    commas, points = (
        [one for one in numbers if mark in one and _OTHER[mark] not in one] for mark in (",", ".")
    )
    if any(re.search(r",\d+\.|,\d{3},", one) for one in numbers) or _part_thousands(commas, points):
        return "."
    if any(re.search(r"\.\d+,|\.\d{3}\.", one) for one in numbers) or _part_thousands(
        points, commas
    ):
        return ","
    figures = [*commas, *points]
    unclear = next((one for one in figures if _THOUSANDS.fullmatch(one)), None)
    if (commas and points) or (unclear and all(map(_THOUSANDS.fullmatch, figures))):
        raise BadInputError(
            "table",
            "can stand for the decimal point or between thousands",
            given=unclear or figures[0],
            allowed="figures that can be read in one way, such as 1000",
        )
    return "," if commas else "."


def _part_thousands(these: Sequence[str], others: Sequence[str]) -> bool:
    """Tell whether one mark parts thousands because the other one cannot."""
    surely = any(not _THOUSANDS.fullmatch(one) for one in others)
    return bool(these) and surely and all(_THOUSANDS.fullmatch(one) for one in these)


def _number(cell: str) -> str:
    found = _NUMBER.fullmatch(cell)
    return found["number"] if found else ""
