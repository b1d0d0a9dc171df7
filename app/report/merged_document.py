"""A merged response as one JSON document, as files in a folder, and in one line."""

import json
from collections.abc import Sequence
from pathlib import Path
from typing import TYPE_CHECKING

import numpy as np

from app.report.atomic import write_whole
from app.report.axes import draw_curve, frequency_axis, head, legend, shade_invalid
from app.report.export_csv import export_curves, export_numbers
from app.report.ink import INK, INK2, TAKE
from app.report.save_picture import save_picture, small_print
from app.report.take_document import curve_document, number_document
from dsp import Curve
from dsp.near_field.merge import Merged

if TYPE_CHECKING:
    from matplotlib.figure import Figure

_HEIGHT_IN = 4.2
_DASHED = (0, (5, 3))


def merged_document(merged: Merged) -> dict[str, object]:
    """Return a merged response as JSON types.

    Returns
    -------
    dict
        ``numbers`` and ``curves`` as of a take, and ``crossover``: the span in which near field
        fades into far field, why it starts and ends there, and whether a person asked for it.
    """
    overlap = merged.overlap
    return {
        "numbers": {name: number_document(one) for name, one in merged.numbers.items()},
        "curves": {name: curve_document(one) for name, one in merged.curves.items()},
        "crossover": {
            "low_hz": overlap.low_hz,
            "high_hz": overlap.high_hz,
            "low_reason": overlap.low_reason,
            "high_reason": overlap.high_reason,
            "asked": overlap.asked,
        },
    }


def crossover_words(merged: Merged) -> str:
    """Say in one line where near and far were joined."""
    overlap = merged.overlap
    chosen = ", as asked" if overlap.asked else ""
    return (
        f"near field below {overlap.low_hz:.4g} Hz, far field above {overlap.high_hz:.4g} Hz, "
        f"crossover between{chosen}"
    )


def leave_merged(
    merged: Merged,
    *,
    parts: tuple[Curve, Curve],
    document: dict[str, object],
    words: str,
    folder: Path,
) -> tuple[Path, ...]:
    """Write picture, tables and ``merged.json``; return what lies where.

    Parameters
    ----------
    merged : Merged
        The response.
    parts : (Curve, Curve)
        Levels of near field and far field before, for the same voltage and distance.
    document : dict
        What goes into the JSON.
    words : str
        Small print below the picture.
    folder : Path
        Where to.
    """
    text = json.dumps(document, ensure_ascii=False, allow_nan=False, indent=1)
    return (
        *save_picture(
            lambda figure: _fill(figure, merged, parts=parts),
            folder / "merged",
            height_in=_HEIGHT_IN,
            foot=lambda figure: small_print(figure, words),
        ),
        *export_curves(merged.curves, folder=folder),
        *export_numbers(merged.numbers, folder=folder),
        write_whole(folder / "merged.json", f"{text}\n".encode()),
    )


def _fill(figure: "Figure", merged: Merged, *, parts: Sequence[Curve]) -> None:
    axis = figure.add_subplot()
    frequency_axis(axis)
    head(axis, "Level", f"{merged.level.unit}, near and far field merged")
    shade_invalid(axis, merged.level)
    for curve, label, style in (
        (parts[0], "near field", _DASHED),
        (parts[1], "far field", (0, (1, 1.5))),
    ):
        draw_curve(axis, curve, label=label, color=INK, style=style, width=0.9, band=False)
    draw_curve(axis, merged.level, label="merged", color=TAKE)
    for hz in (merged.overlap.low_hz, merged.overlap.high_hz):
        axis.axvline(hz, color=INK2, linewidth=0.8)
    axis.annotate(
        "crossover",
        (merged.overlap.high_hz, 1),
        xycoords=("data", "axes fraction"),
        xytext=(4, -9),
        textcoords="offset points",
        fontsize=7,
        color=INK2,
    )
    holds = merged.level.valid.holds(merged.level.frequency_hz)
    highest = float(np.nanmax(merged.level.value[holds] if holds.any() else merged.level.value))
    top = 10 * np.ceil((highest + 6) / 10)
    axis.set_ylim(top - 50, top)
    axis.set_yticks(np.arange(top - 50, top + 1, 10))
    legend(axis)
