"""Find takes by unit, lot, time, verdict or procedure, the newest first, a page at a time."""

from dataclasses import dataclass
from datetime import datetime

from sqlalchemy import Connection, Select, func, select

from app.errors import BadInputError
from app.procedure.schema import LimitsNamed
from app.records import tables
from app.records.filters import Filters, conditions
from dsp.conformity.verdict import Verdict


@dataclass(frozen=True, slots=True, kw_only=True)
class TakeSummary:
    """One line of a list of takes.

    Attributes
    ----------
    id, unit, lot, started_utc, verdict, derived_from
        As in Take.
    number : int
        Running number: the first take of a store is 1.
    procedure : str
        Its name.
    procedure_sha256 : str
        Which revision of it.
    warnings : tuple of str
        As in Take.
    limits : LimitsNamed or None
        The revision of a limit set that judged it; None where its masks were the procedure's own.
    """

    id: str
    number: int
    unit: str | None
    lot: str | None
    procedure: str
    procedure_sha256: str
    started_utc: datetime
    verdict: Verdict
    warnings: tuple[str, ...]
    derived_from: str | None
    limits: LimitsNamed | None = None


def find_takes(
    filters: Filters, *, limit: int | None, offset: int, on: Connection
) -> tuple[TakeSummary, ...]:
    """Return the takes that pass every filter, the newest first."""
    if offset < 0 or (limit is not None and limit < 0):
        raise BadInputError("find", "page below zero", given=f"{limit} from {offset}")
    takes = tables.takes
    page = (
        select(takes.c.row)
        .where(*conditions(filters, on=on))
        .order_by(takes.c.started_utc.desc(), takes.c.row.desc())
        .limit(limit)
        .offset(offset)
    )
    return _summaries(page, on=on)


def newest_of_units(
    filters: Filters, *, limit: int | None, on: Connection
) -> tuple[TakeSummary, ...]:
    """Return of each unit the newest take that passes every filter, the newest first."""
    return _summaries(newest_rows(filters, limit=limit, on=on), on=on)


def newest_rows(filters: Filters, *, limit: int | None, on: Connection) -> Select[tuple[int]]:
    """Return a question for the rows of the newest take of each unit, the newest first."""
    takes = tables.takes
    newest_first = func.row_number().over(
        partition_by=takes.c.unit_id, order_by=(takes.c.started_utc.desc(), takes.c.row.desc())
    )
    ranked = (
        select(takes.c.row, takes.c.started_utc, newest_first.label("place")).where(
            *conditions(filters, on=on), takes.c.unit_id.is_not(None)
        )
    ).subquery()
    return (
        select(ranked.c.row)
        .where(ranked.c.place == 1)
        .order_by(ranked.c.started_utc.desc(), ranked.c.row.desc())
        .limit(limit)
    )


def count_takes(filters: Filters, *, on: Connection) -> int:
    """Return how many takes pass every filter."""
    return on.execute(
        select(func.count()).select_from(tables.takes).where(*conditions(filters, on=on))
    ).scalar_one()


def place_of(take: int, filters: Filters, *, on: Connection) -> int | None:
    """Return how many takes come before that of a row in the list; None where it is not in it."""
    takes = tables.takes
    passing = conditions(filters, on=on)
    own = on.execute(select(takes.c.started_utc).where(takes.c.row == take, *passing)).scalar()
    if own is None:
        return None
    newer = (takes.c.started_utc > own) | ((takes.c.started_utc == own) & (takes.c.row > take))
    return on.execute(select(func.count()).select_from(takes).where(newer, *passing)).scalar_one()


def _summaries(page: Select[tuple[int]], *, on: Connection) -> tuple[TakeSummary, ...]:
    takes, procedures, rows_of = tables.takes, tables.snapshots, page.subquery()
    rows = on.execute(
        select(
            takes.c.id,
            takes.c.row.label("number"),
            tables.units.c.serial,
            tables.lots.c.name.label("lot"),
            procedures.c.name.label("procedure"),
            procedures.c.sha256,
            procedures.c.limit_set,
            procedures.c.limit_revision,
            takes.c.started_utc,
            takes.c.verdict,
            takes.c.warnings,
            takes.c.derived_from,
        )
        .select_from(
            takes.join(rows_of, rows_of.c.row == takes.c.row)
            .join(procedures, procedures.c.id == takes.c.procedure_id)
            .outerjoin(tables.units)
            .outerjoin(tables.lots)
        )
        .order_by(takes.c.started_utc.desc(), takes.c.row.desc())
    )
    return tuple(
        TakeSummary(
            id=row.id,
            number=row.number,
            unit=row.serial,
            lot=row.lot,
            procedure=row.procedure,
            procedure_sha256=row.sha256,
            started_utc=row.started_utc,
            verdict=Verdict(row.verdict),
            warnings=tuple(row.warnings),
            derived_from=row.derived_from,
            limits=(
                LimitsNamed(set=row.limit_set, revision=row.limit_revision)
                if row.limit_set is not None
                else None
            ),
        )
        for row in rows
    )
