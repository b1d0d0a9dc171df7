"""Limits out of a table that a customer's specification holds, as it was pasted."""

import re
from collections.abc import Sequence
from dataclasses import dataclass
from typing import Any

from app.errors import BadInputError
from app.procedure.edit_masks import SIDES, Side
from app.procedure.limit_table_cells import Cells, Row, figure, is_blank, parted
from app.procedure.limit_table_heads import (
    COLUMNS,
    Column,
    checked,
    columns_of,
    head_of,
    shown,
    unit_in,
)
from app.procedure.mask_schema import Mask
from app.procedure.masks_checked import masks_checked
from app.procedure.names import CURVES

_SURELY_HZ = 40.0  # no limit of a loudspeaker is told in kHz above this
_STEP = 1e-3  # of a frequency: where limits jump, the wider one ends so far beside the place


@dataclass(frozen=True, slots=True, kw_only=True)
class LimitTable:
    """A mask that was read from a table.

    Attributes
    ----------
    mask : Mask
        The limits.
    remarks : tuple of str
        How the table was read where it could be read in another way, for a person to confirm.
    """

    mask: Mask
    remarks: tuple[str, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class _Span:
    """A line of the table: from where to where, and its limits; None: no limit."""

    line: int
    low_hz: float
    high_hz: float
    upper: float | None
    lower: float | None


def read_limit_table(
    text: str,
    *,
    quantity: str,
    columns: Sequence[str] = (),
    relative: bool = False,
) -> LimitTable:
    """Read limits over frequency.

    Parameters
    ----------
    text : str
        Cells parted by tabs, semicolons, commas, bars or spaces; heads over the columns, with
        units in brackets or behind a slash; decimal point or comma. A line tells of a frequency or
        of a span (``100-500``). Limits are upper and lower ones, or tolerances (±, or + and −)
        about a nominal value.
    quantity : str
        A curve, in whose unit the limits are.
    columns : sequence of str
        What the columns are, of ``COLUMNS``; otherwise the heads tell.
    relative : bool
        Whether the limits count from the reference unit; tolerances may stand alone then.

    Returns
    -------
    LimitTable

    Raises
    ------
    BadInputError
        What cannot be read, or can be read in two ways.
    FileError
        What no mask can be, such as limits that cross.
    """
    if quantity not in CURVES:
        raise BadInputError("table", "no curve", given=quantity, allowed="a curve, such as level")
    cells = parted(text)
    head = head_of(cells)
    kinds = _asked(columns) if columns else columns_of(cells, head=head)
    body = cells.rows if head is None else cells.rows[_lines_above(cells, head) :]
    if len(kinds) != len(body[0].cells):
        raise BadInputError(
            "table", "other columns", given=shown(body[0]), allowed=", ".join(kinds)
        )
    remarks = ["numbers with a decimal comma"] if cells.decimal == "," else []
    in_khz = _in_khz(body, kinds=kinds, head=head, decimal=cells.decimal)
    remarks += ["frequencies in kHz"] if in_khz else []
    spans = [
        _span(row, kinds=kinds, decimal=cells.decimal, in_khz=in_khz, relative=relative)
        for row in body
    ]
    if len(spans) > 1 and spans[0].low_hz > spans[-1].low_hz:
        spans.reverse()
    content: dict[str, Any] = {"quantity": quantity}
    content |= {side: line for side in SIDES if (line := _line(spans, side=side))}
    if relative:
        content["relative_to"] = "reference"
    mask = masks_checked({quantity: content}, source="table")[quantity]
    return LimitTable(mask=mask, remarks=tuple(remarks))


def _asked(columns: Sequence[str]) -> tuple[Column, ...]:
    named = [next((one for one in COLUMNS if one == given), None) for given in columns]
    for given, column in zip(columns, named, strict=True):
        if column is None:
            raise BadInputError(
                "columns", "no such column", given=given, allowed=", ".join(COLUMNS)
            )
    return checked([one for one in named if one is not None], given=", ".join(columns))


def _lines_above(cells: Cells, head: Row) -> int:
    return next(number for number, row in enumerate(cells.rows, 1) if row.line == head.line)


def _in_khz(
    body: Sequence[Row], *, kinds: Sequence[Column], head: Row | None, decimal: str
) -> bool:
    """Tell whether bare frequencies are in kHz."""
    at = kinds.index("frequency")
    unit = unit_in(head.cells[at]).casefold() if head is not None else ""
    if unit in {"hz", "khz"}:
        return unit == "khz"
    bare = [
        part
        for row in body
        for part in _ends(row.cells[at], decimal=decimal)
        if part is not None and not part[1]
    ]
    highest = max((value for value, _ in bare), default=_SURELY_HZ + 1)
    if highest <= _SURELY_HZ:
        raise BadInputError(
            "table",
            "frequencies without a unit",
            given=f"up to {highest:g}",
            allowed="Hz or kHz in their head",
        )
    return False


def _ends(cell: str, *, decimal: str) -> list[tuple[float, str] | None]:
    """Return the one frequency of a cell, or the two of a span, each with its unit."""
    parts = re.split(r"\s*(?:–|−|-|…|\.\.+|\bto\b|\bbis\b)\s*", cell)
    found = [figure(part, decimal=decimal) for part in parts]
    if len(found) > 2 or None in found:
        return [None]
    ends = [None if one is None else (one.value, one.unit) for one in found]
    if len(ends) == 2 and ends[0] is not None and ends[1] is not None and not ends[0][1]:
        ends[0] = (ends[0][0], ends[1][1])  # 0.1-5 kHz: the unit is that of both
    return ends


def _span(
    row: Row, *, kinds: Sequence[Column], decimal: str, in_khz: bool, relative: bool
) -> _Span:
    cell = dict(zip(kinds, row.cells, strict=True))
    hz = [_hz(end, row=row, in_khz=in_khz) for end in _ends(cell["frequency"], decimal=decimal)]
    values = {
        kind: _value(text, row=row, decimal=decimal)
        for kind, text in cell.items()
        if kind not in {"frequency", "unused"}
    }
    upper, lower = values.get("upper"), values.get("lower")
    if not {"upper", "lower"} & set(kinds):
        upper, lower = _about(values, row=row, relative=relative)
    return _Span(line=row.line, low_hz=hz[0], high_hz=hz[-1], upper=upper, lower=lower)


def _hz(end: tuple[float, str] | None, *, row: Row, in_khz: bool) -> float:
    unit = "" if end is None else end[1].casefold().replace(" ", "")
    if end is None or unit not in {"", "hz", "k", "khz"} or end[0] <= 0:
        raise BadInputError(
            f"table, line {row.line}", "no frequency", given=shown(row), allowed="in Hz or kHz"
        )
    return end[0] * (1000.0 if unit in {"k", "khz"} or (not unit and in_khz) else 1.0)


def _value(cell: str, *, row: Row, decimal: str) -> float | None:
    if is_blank(cell):
        return None
    found = figure(cell.lstrip("±"), decimal=decimal)
    if found is None:
        raise BadInputError(
            f"table, line {row.line}", "no number", given=cell, allowed="a number, or nothing"
        )
    return found.value


def _about(
    values: dict[Column, float | None], *, row: Row, relative: bool
) -> tuple[float | None, float | None]:
    """Return upper and lower limit from tolerances about a nominal value."""
    nominal = values.get("nominal", 0.0 if relative else None)
    if nominal is None:
        raise BadInputError(
            f"table, line {row.line}",
            "a tolerance about nothing",
            given=shown(row),
            allowed="a nominal value, or limits that count from the reference unit",
        )
    above = values.get("plus_minus", values.get("plus"))
    below = values.get("plus_minus", values.get("minus"))
    return (
        None if above is None else nominal + abs(above),
        None if below is None else nominal - abs(below),
    )


def _line(spans: Sequence[_Span], *, side: Side) -> tuple[tuple[float, float], ...]:
    """Return the points of a limit; where spans meet at a jump the stricter limit has the place."""
    points: list[tuple[float, float]] = []
    for span in spans:
        value = span.upper if side == "upper" else span.lower
        if value is None:
            continue
        first = span.low_hz
        if points and points[-1][0] == first and span.high_hz > first:
            before = points[-1][1]
            if before == value:
                points.pop()
            elif (value < before) == (side == "upper"):
                points[-1] = (first * (1 - _STEP), before)
            else:
                first *= 1 + _STEP
        points.append((first, value))
        if span.high_hz != span.low_hz:
            points.append((span.high_hz, value))
    return tuple(points)
