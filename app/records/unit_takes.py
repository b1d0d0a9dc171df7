"""Of very many units the newest take, in as little as a trial of limits needs of it."""

from datetime import datetime
from typing import NamedTuple

from sqlalchemy import Connection, select

from app.records import tables
from app.records.filters import Filters
from app.records.find_takes import newest_rows
from dsp.conformity.verdict import Verdict

_VERDICTS = {verdict.value: verdict for verdict in Verdict}


class UnitTake(NamedTuple):
    """The newest take of a unit; a list of takes tells more, and takes three times as long."""

    id: str
    number: int  # running number in the store
    serial: str
    lot: str | None
    started_utc: datetime
    verdict: Verdict


def newest_unit_takes(
    filters: Filters, *, limit: int | None, on: Connection
) -> tuple[UnitTake, ...]:
    """Return of each unit the newest take that passes every filter, the newest first."""
    takes, rows_of = tables.takes, newest_rows(filters, limit=limit, on=on).subquery()
    rows = on.execute(
        select(
            takes.c.id,
            takes.c.row,
            tables.units.c.serial,
            tables.lots.c.name,
            takes.c.started_utc,
            takes.c.verdict,
        )
        .select_from(
            takes.join(rows_of, rows_of.c.row == takes.c.row)
            .join(tables.units)
            .outerjoin(tables.lots)
        )
        .order_by(takes.c.started_utc.desc(), takes.c.row.desc())
    )
    return tuple(
        UnitTake(take_id, number, serial, lot, started_utc, _VERDICTS[verdict])
        for take_id, number, serial, lot, started_utc, verdict in rows
    )
