"""The first take of each unit by a procedure: what came off the line before anybody retried."""

from collections import defaultdict
from collections.abc import Mapping
from dataclasses import dataclass
from datetime import datetime
from types import MappingProxyType

from sqlalchemy import Connection, func, select

from app.records import tables
from app.records.filters import Filters, conditions
from dsp.conformity.verdict import Verdict

_NOTHING: Mapping[str, float] = MappingProxyType({})


@dataclass(frozen=True, slots=True, kw_only=True)
class FirstTake:
    """A unit's first take, as far as a lot's figures need it.

    Attributes
    ----------
    take_id, number : str, int
        Which take: its id, and its running number in the store.
    serial : str
        Of the unit.
    lot : str or None
        Of that take.
    started_utc : datetime
        Aware, UTC.
    verdict : Verdict
        Of the take.
    failed : tuple of str
        Names of the masks that it does not conform to.
    causes : mapping of str to float
        What was found if it did not conform, with its confidence, likeliest first.
    """

    take_id: str
    number: int
    serial: str
    lot: str | None
    started_utc: datetime
    verdict: Verdict
    failed: tuple[str, ...]
    causes: Mapping[str, float]


def first_of_units(filters: Filters, *, on: Connection) -> tuple[FirstTake, ...]:
    """Return of each unit the first take that passes every filter, the oldest first.

    Takes that were derived again from another's recording do not count.
    """
    takes = tables.takes
    oldest_first = func.row_number().over(
        partition_by=takes.c.unit_id, order_by=(takes.c.started_utc, takes.c.row)
    )
    ranked = (
        select(takes.c.row, oldest_first.label("place")).where(
            *conditions(filters, on=on),
            takes.c.unit_id.is_not(None),
            takes.c.derived_from.is_(None),
        )
    ).subquery()
    first = select(ranked.c.row).where(ranked.c.place == 1).subquery()
    failed: dict[int, list[str]] = defaultdict(list)
    for row, name in on.execute(
        select(tables.masks.c.take, tables.masks.c.name)
        .join(first, first.c.row == tables.masks.c.take)
        .where(tables.masks.c.verdict == Verdict.DOES_NOT_CONFORM.value)
        .order_by(tables.masks.c.take, tables.masks.c.position)
    ):
        failed[row].append(name)
    # Most takes conform, and of those nothing was found: their documents need not be read.
    causes = {
        row: {cause: float(confidence) for cause, confidence, _ in findings}
        for row, findings in on.execute(
            select(takes.c.row, takes.c.findings)
            .join(first, first.c.row == takes.c.row)
            .where(takes.c.verdict != Verdict.CONFORMS.value)
        )
    }
    rows = on.execute(
        select(
            takes.c.row,
            takes.c.id,
            tables.units.c.serial,
            tables.lots.c.name,
            takes.c.started_utc,
            takes.c.verdict,
        )
        .select_from(
            takes.join(first, first.c.row == takes.c.row).join(tables.units).outerjoin(tables.lots)
        )
        .order_by(takes.c.started_utc, takes.c.row)
    ).all()
    verdicts = {verdict.value: verdict for verdict in Verdict}
    return tuple(
        FirstTake(
            take_id=take_id,
            number=row,
            serial=serial,
            lot=lot,
            started_utc=started_utc,
            verdict=verdicts[verdict],
            failed=tuple(failed.get(row, ())),
            causes=causes.get(row, _NOTHING),
        )
        for row, take_id, serial, lot, started_utc, verdict in rows
    )
