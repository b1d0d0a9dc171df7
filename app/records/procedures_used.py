"""Which procedures takes were made with."""

from sqlalchemy import Connection, select

from app.records import tables
from app.records.filters import Filters, conditions


def procedures_used(filters: Filters, *, on: Connection) -> tuple[str, ...]:
    """Return the names of the procedures of all takes that pass every filter, sorted."""
    takes, snapshots = tables.takes, tables.snapshots
    used = select(takes.c.procedure_id).where(*conditions(filters, on=on)).distinct()
    names = select(snapshots.c.name).where(snapshots.c.id.in_(used)).distinct()
    return tuple(sorted(on.execute(names).scalars()))
