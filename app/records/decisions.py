"""What people decide about takes and units: the reference of a procedure, good or bad of a unit."""

from dataclasses import dataclass
from datetime import datetime
from typing import Any, Literal

from sqlalchemy import Connection, Row, func, insert, select

from app.errors import BadInputError
from app.records import tables
from app.records.trail import write_entry

Mark = Literal["good", "bad"]


@dataclass(frozen=True, slots=True, kw_only=True)
class UnitMark:
    """What inspection found of a unit, the last word of it."""

    serial: str
    mark: Mark
    by: str
    at_utc: datetime
    why: str


def write_reference(row: int, *, by: str, why: str, on: Connection) -> None:
    """Make the take of a row the reference of its procedure's name."""
    takes, snapshots = tables.takes, tables.snapshots
    wanted = select(takes.c.id, snapshots.c.name).join(
        snapshots, takes.c.procedure_id == snapshots.c.id
    )
    take = on.execute(wanted.where(takes.c.row == row)).one()
    entry = write_entry(
        who=by, what=f"reference of {take.name}", subject=f"take {take.id}", why=why, on=on
    )
    on.execute(insert(tables.reference_takes).values(procedure=take.name, take=row, audit_id=entry))


def reference_row(procedure: str, *, on: Connection) -> int | None:
    """Return the row of the take that is the reference of a procedure's name."""
    references = tables.reference_takes
    newest = (
        select(references.c.take)
        .where(references.c.procedure == procedure)
        .order_by(references.c.id.desc())
        .limit(1)
    )
    return on.execute(newest).scalar()


def write_mark(serial: str, *, mark: Mark, by: str, why: str, on: Connection) -> None:
    """Note what inspection found.

    Raises
    ------
    BadInputError
        No such unit, or another word than good and bad.
    """
    if mark not in {"good", "bad"}:
        raise BadInputError("mark", "no such mark", given=mark, allowed="good or bad")
    known = select(tables.units.c.id).where(tables.units.c.serial == serial)
    unit = on.execute(known).scalar()
    if unit is None:
        raise BadInputError("mark", "the store holds no such unit", given=serial)
    entry = write_entry(who=by, what=f"marked {mark}", subject=f"unit {serial}", why=why, on=on)
    on.execute(insert(tables.unit_marks).values(unit_id=unit, mark=mark, audit_id=entry))


def mark_of_unit(serial: str | None, *, on: Connection) -> UnitMark | None:
    """Return the last mark of a unit; None where it has none."""
    marks = tables.unit_marks
    row = on.execute(
        select(tables.units.c.serial, marks.c.mark, tables.audit)
        .select_from(marks.join(tables.units).join(tables.audit))
        .where(tables.units.c.serial == serial)
        .order_by(marks.c.id.desc())
        .limit(1)
    ).first()
    return None if row is None else _unit_mark(row)


def read_marks(*, on: Connection) -> dict[str, UnitMark]:
    """Return the last mark of every unit that has one, by serial."""
    marks = tables.unit_marks
    newest = select(func.max(marks.c.id)).group_by(marks.c.unit_id)
    rows = on.execute(
        select(tables.units.c.serial, marks.c.mark, tables.audit)
        .select_from(marks.join(tables.units).join(tables.audit))
        .where(marks.c.id.in_(newest))
        .order_by(tables.units.c.serial)
    )
    return {row.serial: _unit_mark(row) for row in rows}


def _unit_mark(row: Row[Any]) -> UnitMark:
    return UnitMark(serial=row.serial, mark=row.mark, by=row.who, at_utc=row.at_utc, why=row.why)
