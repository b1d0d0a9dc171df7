"""One number over many takes, in the order in which they were made."""

from dataclasses import dataclass
from datetime import datetime

from sqlalchemy import Connection, select

from app.records import tables
from app.records.filters import Filters, conditions
from app.records.read_take import number_of
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
        As in the take.
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
    takes, numbers = tables.takes, tables.numbers
    newest = (
        select(takes.c.row)
        .where(*conditions(filters, on=on))
        .order_by(takes.c.started_utc.desc(), takes.c.row.desc())
        .limit(limit)
    ).subquery()
    rows = on.execute(
        select(
            takes.c.id,
            takes.c.row,
            takes.c.started_utc,
            takes.c.verdict,
            tables.units.c.serial,
            tables.lots.c.name.label("lot"),
            numbers.c.value,
            numbers.c.uncertainty,
            numbers.c.k,
            numbers.c.unit,
            numbers.c.how,
            numbers.c.reason,
            numbers.c.exact,
        )
        .select_from(
            takes.join(newest, newest.c.row == takes.c.row)
            .join(numbers, (numbers.c.take == takes.c.row) & (numbers.c.name == name))
            .outerjoin(tables.units)
            .outerjoin(tables.lots)
        )
        .order_by(takes.c.started_utc, takes.c.row)
    ).all()
    points = []
    for row in rows:
        found = number_of(row)
        points.append(
            TrendPoint(
                take_id=row.id,
                take_number=row.row,
                unit=row.serial,
                lot=row.lot,
                started_utc=row.started_utc,
                verdict=Verdict(row.verdict),
                number=found,
            )
        )
    return Trend(name=name, unit=rows[-1].unit if rows else "", points=tuple(points))
