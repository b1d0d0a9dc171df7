"""The rows as a person, a README or a program reads them."""

import json
from collections.abc import Sequence
from dataclasses import asdict

from tests.benchmarks.row import Row

_HEAD = ("what", "bar", "measured", "ratio", "")


def plain(rows: Sequence[Row], *, machine: str) -> str:
    """Lay the rows out in columns."""
    cells = [_HEAD, *(_cells(row) for row in rows)]
    widths = [max(len(line[column]) for line in cells) for column in range(len(_HEAD))]
    lines = [
        "  ".join(cell.ljust(width) for cell, width in zip(line, widths, strict=True)).rstrip()
        for line in cells
    ]
    return "\n".join([*lines, "", machine])


def markdown(rows: Sequence[Row], *, machine: str) -> str:
    """Make the table that stands in the README."""
    lines = ["| what | bar | measured | measured / bar | |", "| --- | --- | --- | --- | --- |"]
    lines += [f"| {' | '.join(_cells(row))} |" for row in rows]
    return "\n".join([*lines, "", f"Measured on {machine}."])


def as_json(rows: Sequence[Row], *, machine: str) -> str:
    """Make one JSON document."""
    listed = [asdict(row) | {"ratio": row.ratio} for row in rows]
    return json.dumps({"machine": machine, "rows": listed}, indent=1, ensure_ascii=False)


def _cells(row: Row) -> tuple[str, str, str, str, str]:
    ratio = "–" if row.ratio is None else f"{row.ratio:.2f}"
    return (row.what, row.bar_text, f"{row.measured:.3g} {row.unit}", ratio, row.note)
