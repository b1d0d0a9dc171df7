"""The list of takes: its columns, and one line for each take."""

import math
from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from datetime import datetime
from enum import Enum

from app.desktop.presenters.figures import (
    NONE,
    interval_text,
    minus,
    value_text,
    with_unit,
)
from app.desktop.presenters.mark import Mark, mark_of
from app.desktop.presenters.measure_names import number_as, quantity_name
from app.procedure.mask_schema import Mask
from app.procedure.names import CURVES, NUMBERS
from app.records.find_takes import TakeSummary
from app.report.units import short_unit
from dsp import Number
from dsp.conformity.verdict import MaskResult

# Numbers that say what a unit is worth, the first ones where there is no room for all.
_WORTH = ("sensitivity_db", "fs_hz", "qts", "re_ohm", "rub_buzz_db", "bl_tm", "mms_g")
_SHORT = {
    "sensitivity_db": "Sens.",
    "fs_hz": "Res.",
    "rub_buzz_db": "Rub",
    "level": "Level",
    "impedance": "Imp.",
    "high_order": "High",
}
_MOST = 6
_BESIDE_MARGINS = 2  # numbers, where masks have margins to show
# A margin has no interval of its own in a list; one column is compared down its points.
_MARGIN_PLACES = 2


class FigureKind(Enum):
    """What stands in a column of figures."""

    NUMBER = "number"
    MARGIN = "margin"


@dataclass(frozen=True, slots=True, kw_only=True)
class FigureColumn:
    """One column of figures.

    Attributes
    ----------
    kind : FigureKind
        A number, or the margin to a mask.
    name : str
        Of the number, or of the mask.
    title : str
        Above it, with the unit where all its cells share one.
    unit : str
        As the record has it.
    """

    kind: FigureKind
    name: str
    title: str
    unit: str


@dataclass(frozen=True, slots=True, kw_only=True)
class TakeLine:
    """One line of the list, ready to be painted.

    ``figures`` has a cell for each FigureColumn.
    """

    id: str
    number: int
    time: str
    unit: str
    lot: str
    procedure: str
    mark: Mark
    verdict: str
    figures: tuple[str, ...]
    note: str = ""


def figure_columns(
    numbers: Iterable[str], *, masks: Mapping[str, Mask], most: int = _MOST
) -> tuple[FigureColumn, ...]:
    """Choose what stands in the list: numbers that tell a unit's worth, then margins.

    Parameters
    ----------
    numbers : iterable of str
        Names of those that the newest take has.
    masks : mapping of str to Mask
        Of its procedure.
    most : int
        How many columns at most.
    """
    there = set(numbers)
    columns = [
        FigureColumn(
            kind=FigureKind.NUMBER, name=name, title=_number_title(name), unit=NUMBERS[name]
        )
        for name in _WORTH
        if name in there
    ]
    if masks:
        columns = columns[:_BESIDE_MARGINS]
    judged = [column.name for column in columns]
    columns += [
        FigureColumn(
            kind=FigureKind.MARGIN,
            name=name,
            title=f"{_SHORT.get(mask.quantity) or quantity_name(mask.quantity)} margin",
            unit=CURVES.get(mask.quantity) or NUMBERS.get(mask.quantity, ""),
        )
        for name, mask in masks.items()
        if mask.quantity not in judged and mask.quantity != "polarity"
    ]
    return tuple(columns[:most])


def take_line(
    summary: TakeSummary,
    *,
    columns: Iterable[FigureColumn],
    numbers: Mapping[str, Number],
    masks: Mapping[str, MaskResult],
    newest: datetime,
) -> TakeLine:
    """Present one take of the list; ``newest`` is when the newest of the store began."""
    return TakeLine(
        id=summary.id,
        number=summary.number,
        time=time_text(summary.started_utc, newest=newest),
        unit=summary.unit or NONE,
        lot=summary.lot or NONE,
        procedure=summary.procedure,
        mark=mark_of(summary.verdict),
        verdict=summary.verdict.value,
        figures=tuple(_figure(column, numbers=numbers, masks=masks) for column in columns),
        note=" ".join(summary.warnings),
    )


def time_text(moment: datetime, *, newest: datetime) -> str:
    """Write a moment in UTC; the year only where it is another than the newest's."""
    year = "" if moment.year == newest.year else f"{moment:%Y}-"
    return f"{year}{moment:%m-%d %H:%M}"


def _figure(
    column: FigureColumn, *, numbers: Mapping[str, Number], masks: Mapping[str, MaskResult]
) -> str:
    if column.kind is FigureKind.MARGIN:
        judged = masks.get(column.name)
        if judged is None or not math.isfinite(judged.margin):
            return NONE
        return with_unit(minus(f"{judged.margin:.{_MARGIN_PLACES}f}"), column.unit)
    number = numbers.get(column.name)
    if number is None or not math.isfinite(number.value):
        return NONE
    scale = number_as(column.name, unit=number.unit).scale
    interval = None if number.uncertainty is None else number.uncertainty * scale
    value = value_text(number.value * scale, interval)
    return " ".join(part for part in (value, interval_text(interval)) if part)


def _number_title(name: str) -> str:
    shown = number_as(name)
    title = _SHORT.get(name, shown.name)
    return ", ".join(part for part in (title, short_unit(shown.unit)) if part)
