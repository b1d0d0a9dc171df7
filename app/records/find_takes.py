"""Find takes by unit, lot, time, verdict or procedure, the newest first, a page at a time."""

from dataclasses import dataclass
from datetime import datetime
from typing import TypedDict

from sqlalchemy import ColumnElement, Connection, func, select

from app.errors import BadInputError
from app.records import tables
from dsp.conformity.verdict import Verdict


class Filters(TypedDict, total=False):
    """What a take must be; what is left out or None may be anything.

    ``since`` and ``until`` are aware moments of the start, the first included, the second not.
    ``procedure`` is a name.
    """

    serial: str | None
    lot: str | None
    since: datetime | None
    until: datetime | None
    verdict: Verdict | None
    procedure: str | None


@dataclass(frozen=True, slots=True, kw_only=True)
class TakeSummary:
    """One line of a list of takes.

    Attributes
    ----------
    id, unit, lot, started_utc, verdict, derived_from
        As in Take.
    procedure : str
        Its name.
    procedure_sha256 : str
        Which revision of it.
    warnings : tuple of str
        As in Take.
    """

    id: str
    unit: str | None
    lot: str | None
    procedure: str
    procedure_sha256: str
    started_utc: datetime
    verdict: Verdict
    warnings: tuple[str, ...]
    derived_from: str | None


def find_takes(
    filters: Filters, *, limit: int | None, offset: int, on: Connection
) -> tuple[TakeSummary, ...]:
    """Return the takes that pass every filter, the newest first."""
    if offset < 0 or (limit is not None and limit < 0):
        raise BadInputError("find", "page below zero", given=f"{limit} from {offset}")
    takes, procedures = tables.takes, tables.snapshots
    page = (
        select(takes.c.row)
        .where(*_conditions(filters))
        .order_by(takes.c.started_utc.desc(), takes.c.row.desc())
        .limit(limit)
        .offset(offset)
    ).subquery()
    rows = on.execute(
        select(
            takes.c.id,
            tables.units.c.serial,
            tables.lots.c.name.label("lot"),
            procedures.c.name.label("procedure"),
            procedures.c.sha256,
            takes.c.started_utc,
            takes.c.verdict,
            takes.c.warnings,
            takes.c.derived_from,
        )
        .select_from(
            takes.join(page, page.c.row == takes.c.row)
            .join(procedures, procedures.c.id == takes.c.procedure_id)
            .outerjoin(tables.units)
            .outerjoin(tables.lots)
        )
        .order_by(takes.c.started_utc.desc(), takes.c.row.desc())
    )
    return tuple(
        TakeSummary(
            id=row.id,
            unit=row.serial,
            lot=row.lot,
            procedure=row.procedure,
            procedure_sha256=row.sha256,
            started_utc=row.started_utc,
            verdict=Verdict(row.verdict),
            warnings=tuple(row.warnings),
            derived_from=row.derived_from,
        )
        for row in rows
    )


def count_takes(filters: Filters, *, on: Connection) -> int:
    """Return how many takes pass every filter."""
    return on.execute(
        select(func.count()).select_from(tables.takes).where(*_conditions(filters))
    ).scalar_one()


def _conditions(filters: Filters) -> list[ColumnElement[bool]]:
    takes, conditions = tables.takes, []
    if (serial := filters.get("serial")) is not None:
        unit = select(tables.units.c.id).where(tables.units.c.serial == serial)
        conditions.append(takes.c.unit_id == unit.scalar_subquery())
    if (lot := filters.get("lot")) is not None:
        found = select(tables.lots.c.id).where(tables.lots.c.name == lot)
        conditions.append(takes.c.lot_id == found.scalar_subquery())
    if (since := filters.get("since")) is not None:
        conditions.append(takes.c.started_utc >= aware("since", since))
    if (until := filters.get("until")) is not None:
        conditions.append(takes.c.started_utc < aware("until", until))
    if (verdict := filters.get("verdict")) is not None:
        conditions.append(takes.c.verdict == verdict.value)
    if (procedure := filters.get("procedure")) is not None:
        revisions = select(tables.snapshots.c.id).where(
            tables.snapshots.c.kind == "procedure", tables.snapshots.c.name == procedure
        )
        conditions.append(takes.c.procedure_id.in_(revisions))
    return conditions


def aware(where: str, moment: datetime) -> datetime:
    """Refuse a moment that does not say in which zone it is."""
    if moment.tzinfo is None:
        raise BadInputError(where, "no time zone", given=moment.isoformat(), allowed="UTC")
    return moment
