"""A table that somebody else wrote, taken apart into rows of cells: whatever separates them."""

import csv
import re
from collections.abc import Iterator
from dataclasses import dataclass
from pathlib import Path

from hardware.toml_file import read_bytes

_COMMENT = ("#", "*", "//", "%", ";", "!")
_DECIMAL_COMMA = re.compile(r"[+-]?\d+(,\d+)?([eE][+-]?\d+)?", re.ASCII)
_NUMBER = re.compile(r"[+-]?(\d+\.?\d*|\.\d+)([eE][+-]?\d+)?", re.ASCII)


@dataclass(frozen=True, slots=True, kw_only=True)
class Line:
    """One line that is neither blank nor a comment.

    Attributes
    ----------
    number : int
        Counted from 1.
    cells : tuple of str
        Without quotes and surrounding blanks; a decimal comma is a point already.
    """

    number: int
    cells: tuple[str, ...]

    @property
    def starts_with_number(self) -> bool:
        """Whether this can be a row of the table."""
        return is_number(self.cells[0])


def is_number(cell: str) -> bool:
    """Tell a number from words.

    Parameters
    ----------
    cell : str
        One cell.

    Returns
    -------
    bool; neither NaN nor infinity is a number here.
    """
    return _NUMBER.fullmatch(cell) is not None


def text_of(path: Path) -> str:
    r"""Read a text in the encoding that it is in.

    Parameters
    ----------
    path : Path
        UTF-8, UTF-16 with its mark, or else the Western European code page of old spreadsheets.

    Returns
    -------
    str, lines ended by ``\n``.

    Raises
    ------
    FileError
        Missing, no file, not to be read, or too large.
    """
    raw = read_bytes(path)
    if raw.startswith((b"\xff\xfe", b"\xfe\xff")):
        text = raw.decode("utf-16", errors="replace")
    else:
        try:
            text = raw.decode("utf-8-sig")
        except UnicodeDecodeError:
            text = raw.decode("cp1252", errors="replace")
    return text.replace("\r\n", "\n").replace("\r", "\n")


def lines_of(text: str) -> Iterator[Line]:
    r"""Take a text apart.

    Every line is read by what it holds itself: a heading may be separated otherwise than the rows.

    Parameters
    ----------
    text : str
        Lines ended by ``\n``.

    Yields
    ------
    Line
    """
    for number, whole in enumerate(text.split("\n"), start=1):
        content = whole.strip()
        if content and not content.startswith(_COMMENT):
            yield Line(number=number, cells=tuple(_cells(content)))


def _cells(content: str) -> list[str]:
    for mark in ";\t":
        if mark in content:
            return [_point(cell) for cell in _split(content, mark=mark)]
    blanks = content.split()
    if "," not in content:
        return [_bare(cell) for cell in blanks]
    if len(blanks) > 1 and all(_DECIMAL_COMMA.fullmatch(_bare(cell)) for cell in blanks):
        return [_point(_bare(cell)) for cell in blanks]
    # A comma inside quotes is a decimal one; outside, it separates.
    return [_point(cell) for cell in _split(content, mark=",")]


def _split(content: str, *, mark: str) -> list[str]:
    cells = next(csv.reader([content], delimiter=mark, skipinitialspace=True))
    cells = [_bare(cell) for cell in cells]
    if len(cells) > 1 and not cells[-1]:
        cells.pop()  # a separator at the end of a line separates nothing
    return cells


def _bare(cell: str) -> str:
    return cell.strip().strip("\"'").strip()


def _point(cell: str) -> str:
    return cell.replace(",", ".") if _DECIMAL_COMMA.fullmatch(cell) else cell
