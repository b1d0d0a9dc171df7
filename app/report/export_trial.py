"""A trial as a CSV table: a row a unit, verdicts by the limits in force and by the draft."""

import csv
import io
import math
from collections.abc import Sequence
from pathlib import Path

from app.records.trial_row import TrialRow
from app.report.atomic import write_whole


def export_trial(rows: Sequence[TrialRow], *, path: Path) -> Path:
    """Write a trial; UTF-8, commas, decimal points, gaps left empty.

    Raises
    ------
    BadInputError
        The disk did not take it.
    """
    masks = list(rows[0].margins) if rows else []
    text = io.StringIO()
    writer = csv.writer(text, lineterminator="\n")
    writer.writerow(
        ["unit", "lot", "take", "inspection", "limits in force", "draft"]
        + [f"margin {name}" for name in masks]
    )
    for row in rows:
        margins = [_cell(row.margins[name]) for name in masks]
        writer.writerow(
            [row.serial, row.lot, row.take, row.found or "", row.now, row.draft, *margins]
        )
    return write_whole(path, text.getvalue().encode())


def _cell(value: float) -> str:
    return f"{value:.6g}" if math.isfinite(value) else ""
