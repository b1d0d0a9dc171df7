"""Revisions of a procedure: every distinct form of it that a take was made with.

They are counted from 1 for each name of a procedure, in the order in which the store met them.
"""

from dataclasses import dataclass
from datetime import datetime

from sqlalchemy import Connection, func, select

from app.procedure.schema import Procedure
from app.records import tables
from app.records.snapshots import read_snapshot


@dataclass(frozen=True, slots=True, kw_only=True)
class Revision:
    """One form of a procedure.

    Attributes
    ----------
    procedure : str
        Name of the procedure.
    number : int
        From 1.
    sha256 : str
        Of the procedure, written out whole; as ``TakeSummary.procedure_sha256``.
    at_utc : datetime or None
        When the first take was made with it.
    takes : int
        How many takes were made with it.
    """

    procedure: str
    number: int
    sha256: str
    at_utc: datetime | None
    takes: int


def read_revisions(name: str, *, on: Connection) -> tuple[Revision, ...]:
    """Return every revision of a procedure, the newest first."""
    snapshots, takes = tables.snapshots, tables.takes
    forms = on.execute(
        select(snapshots.c.id, snapshots.c.sha256)
        .where(snapshots.c.kind == "procedure", snapshots.c.name == name)
        .order_by(snapshots.c.id)
    ).all()
    found = []
    for number, form in enumerate(forms, start=1):
        used = on.execute(
            select(func.count(), func.min(takes.c.started_utc)).where(
                takes.c.procedure_id == form.id
            )
        ).one()
        count, first_utc = used
        found.append(
            Revision(
                procedure=name,
                number=number,
                sha256=form.sha256,
                at_utc=first_utc,
                takes=count,
            )
        )
    return tuple(reversed(found))


def read_procedure(sha256: str, *, on: Connection) -> Procedure | None:
    """Return the procedure of a revision; None where the store has no such form."""
    snapshots = tables.snapshots
    wanted = select(snapshots.c.document).where(
        snapshots.c.kind == "procedure", snapshots.c.sha256 == sha256
    )
    document = on.execute(wanted).scalar()
    if document is None:
        return None
    return read_snapshot(document, kind=Procedure, where=f"procedure {sha256[:8]}")
