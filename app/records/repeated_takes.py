"""Takes of units that were measured more than once: what a gauge is studied by."""

from dataclasses import dataclass
from datetime import datetime

from sqlalchemy import Connection, func, select

from app.records import tables
from app.records.filters import Filters, conditions


@dataclass(frozen=True, slots=True, kw_only=True)
class RepeatedTake:
    """One of several takes of a unit.

    Attributes
    ----------
    take_id, number : str, int
        Which take: its id, and its running number in the store.
    serial : str
        Of the unit.
    station : str
        Name of the chain that it was made on.
    started_utc : datetime
        Aware, UTC.
    """

    take_id: str
    number: int
    serial: str
    station: str
    started_utc: datetime


def repeated_takes(filters: Filters, *, on: Connection) -> tuple[RepeatedTake, ...]:
    """Return the takes that pass every filter, of units that have several such, the oldest first.

    Takes that were derived again from another's recording do not count: they repeat nothing.
    """
    takes, chains = tables.takes, tables.snapshots
    passing = (
        select(
            takes.c.row,
            func.count().over(partition_by=takes.c.unit_id).label("several"),
        ).where(
            *conditions(filters, on=on),
            takes.c.unit_id.is_not(None),
            takes.c.derived_from.is_(None),
        )
    ).subquery()
    rows = on.execute(
        select(
            takes.c.row,
            takes.c.id,
            tables.units.c.serial,
            chains.c.name.label("station"),
            takes.c.started_utc,
        )
        .select_from(
            takes.join(passing, passing.c.row == takes.c.row)
            .join(tables.units)
            .join(chains, chains.c.id == takes.c.chain_id)
        )
        .where(passing.c.several > 1)
        .order_by(takes.c.started_utc, takes.c.row)
    )
    return tuple(
        RepeatedTake(
            take_id=row.id,
            number=row.row,
            serial=row.serial,
            station=row.station,
            started_utc=row.started_utc,
        )
        for row in rows
    )
