"""Limits as a table for spreadsheets: a line a point, every key of a mask a column."""

import csv
import io
import math
from collections.abc import Mapping
from pathlib import Path
from typing import Any

from app.procedure.edit_masks import SIDES, Side, points_of, value_of
from app.procedure.mask_schema import Mask
from app.procedure.masks_checked import masks_checked
from hardware.errors import FileError

COLUMNS = (
    "mask",
    "quantity",
    "relative_to",
    "align",
    "align_from_hz",
    "align_to_hz",
    "guard",
    "limit",
    "frequency_hz",
    "value",
)


def limit_csv_text(masks: Mapping[str, Mask]) -> str:
    """Return the lines of a table that reads back as ``masks``; a single value has no frequency."""
    out = io.StringIO()
    table = csv.writer(out, lineterminator="\n")
    table.writerow(COLUMNS)
    for name, mask in masks.items():
        band = mask.align_band_hz or ("", "")
        keys = (name, mask.quantity, mask.relative_to or "", mask.align or "", *band, mask.guard)
        for side in SIDES:
            for hz, value in _rows(mask, side=side):
                table.writerow((*keys, side, hz, value))
    return out.getvalue()


def read_limit_csv(path: Path) -> dict[str, Mask]:
    """Read such a table.

    Raises
    ------
    FileError
        Names file, line, column, what is wrong, what was given and what is allowed.
    """
    try:
        text = path.read_text(encoding="utf-8-sig")
    except (OSError, UnicodeDecodeError) as error:
        reason = getattr(error, "strerror", None) or "not UTF-8"
        raise FileError(str(path), f"cannot be read: {reason.lower()}") from error
    rows = csv.reader(text.splitlines(), strict=True)
    try:
        head = next(rows, [])
        if tuple(head) != COLUMNS:
            raise FileError(
                str(path),
                "other columns",
                line=1,
                given=",".join(head) or "nothing",
                allowed=",".join(COLUMNS),
            )
        return masks_checked(_masks(rows, source=str(path)), source=str(path))
    except csv.Error as error:
        raise FileError(str(path), str(error), line=rows.line_num) from error


def _rows(mask: Mask, *, side: Side) -> tuple[tuple[float | str, float], ...]:
    value = value_of(mask, side=side)
    return points_of(mask, side=side) if value is None else (("", value),)


def _masks(rows: Any, *, source: str) -> dict[str, dict[str, Any]]:
    masks: dict[str, dict[str, Any]] = {}
    told: dict[str, dict[str, Any]] = {}
    for cells in rows:
        if not cells:
            continue
        line = rows.line_num
        if len(cells) != len(COLUMNS):
            raise FileError(
                source, "columns", line=line, given=len(cells), allowed=str(len(COLUMNS))
            )
        row = dict(zip(COLUMNS, cells, strict=True))
        keys = _keys(row, source=source, line=line)
        if told.setdefault(row["mask"], keys) != keys:
            raise FileError(source, f"mask {row['mask']} is told otherwise further up", line=line)
        mask = masks.setdefault(row["mask"], dict(keys))
        _add(mask, row, source=source, line=line)
    return masks


def _keys(row: Mapping[str, str], *, source: str, line: int) -> dict[str, Any]:
    found: dict[str, Any] = {
        key: row[key] for key in ("quantity", "relative_to", "align") if row[key]
    }
    if row["guard"]:
        found["guard"] = _figure(row, "guard", source=source, line=line)
    if row["align_from_hz"] or row["align_to_hz"]:
        found["align_band_hz"] = tuple(
            _figure(row, key, source=source, line=line) for key in ("align_from_hz", "align_to_hz")
        )
    return found


def _add(mask: dict[str, Any], row: Mapping[str, str], *, source: str, line: int) -> None:
    side = row["limit"]
    if side not in SIDES:
        raise FileError(
            source, "no such limit", line=line, key="limit", given=side, allowed="upper or lower"
        )
    value = _figure(row, "value", source=source, line=line)
    if row["frequency_hz"]:
        point = (_figure(row, "frequency_hz", source=source, line=line), value)
        line_so_far = mask.setdefault(side, ())
        if not isinstance(line_so_far, tuple):
            raise FileError(source, f"the {side} limit is one value and points", line=line)
        mask[side] = (*line_so_far, point)
    elif side in mask:
        raise FileError(source, f"the {side} limit is told twice", line=line)
    else:
        mask[side] = value


def _figure(row: Mapping[str, str], key: str, *, source: str, line: int) -> float:
    try:
        value = float(row[key])
    except ValueError:
        value = math.nan
    if not math.isfinite(value):
        raise FileError(source, "no number", line=line, key=key, given=row[key] or "nothing")
    return value
