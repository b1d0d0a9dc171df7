"""One number, or the margin to one mask, over many takes in the order in which they were made."""

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import datetime
from typing import Any

from sqlalchemy import Connection, Row, Table, select

from app.records import tables
from app.records.filters import Filters, conditions
from app.records.read_take import mask_of, number_of
from dsp import Number
from dsp.conformity.verdict import Verdict


@dataclass(frozen=True, slots=True, kw_only=True)
class TrendPoint:
    """One number of one take.

    Attributes
    ----------
    take_id, take_number : str, int
        Which take.
    unit, lot : str or None
        Serial and production lot.
    started_utc : datetime
        Aware, UTC.
    verdict : Verdict
        Of the take.
    number : Number
        As in the take, or the margin.
    """

    take_id: str
    take_number: int
    unit: str | None
    lot: str | None
    started_utc: datetime
    verdict: Verdict
    number: Number


@dataclass(frozen=True, slots=True, kw_only=True)
class Trend:
    """A number over takes; ``points`` come with the oldest first."""

    name: str
    unit: str
    points: tuple[TrendPoint, ...]


def read_trend(name: str, filters: Filters, *, limit: int, on: Connection) -> Trend:
    """Return a number of the newest takes that pass every filter and have it."""
    numbers = tables.numbers
    rows = _rows(numbers, name, filters, limit=limit, on=on)
    return Trend(
        name=name,
        unit=rows[-1].unit if rows else "",
        points=tuple(_point(row, number=number_of(row)) for row in rows),
    )


def read_margin_trend(name: str, filters: Filters, *, limit: int, on: Connection) -> Trend:
    """Return the margin to a mask of the newest takes that pass every filter and were judged."""
    rows = _rows(tables.masks, name, filters, limit=limit, on=on)
    points = []
    for row in rows:
        judged = mask_of(row)
        points.append(
            _point(row, number=Number(value=judged.margin, unit="", reason=judged.reason))
        )
    return Trend(name=name, unit="", points=tuple(points))


def _rows(
    table: Table, name: str, filters: Filters, *, limit: int, on: Connection
) -> Sequence[Row[Any]]:
    takes = tables.takes
    newest = (
        select(takes.c.row)
        .where(*conditions(filters, on=on))
        .order_by(takes.c.started_utc.desc(), takes.c.row.desc())
        .limit(limit)
    ).subquery()
    return on.execute(
        select(
            takes.c.id,
            takes.c.row,
            takes.c.started_utc,
            takes.c.verdict.label("of_take"),
            tables.units.c.serial,
            tables.lots.c.name.label("lot"),
            *(column for column in table.c if column.name not in {"take", "name", "position"}),
        )
        .select_from(
            takes.join(newest, newest.c.row == takes.c.row)
            .join(table, (table.c.take == takes.c.row) & (table.c.name == name))
            .outerjoin(tables.units)
            .outerjoin(tables.lots)
        )
        .order_by(takes.c.started_utc, takes.c.row)
    ).all()


def _point(row: Row[Any], *, number: Number) -> TrendPoint:
    return TrendPoint(
        take_id=row.id,
        take_number=row.row,
        unit=row.serial,
        lot=row.lot,
        started_utc=row.started_utc,
        verdict=Verdict(row.of_take),
        number=number,
    )
