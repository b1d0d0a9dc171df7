"""Revisions of a procedure: every distinct form of it that was saved, or that a take was made with.

They are counted from 1 for each name of a procedure, in the order in which the store met them.
"""

from dataclasses import dataclass
from datetime import datetime

from sqlalchemy import Connection, func, select

from app.procedure.schema import Procedure
from app.records import tables
from app.records.capture_row import snapshot_row
from app.records.snapshots import read_snapshot, snapshot
from app.records.trail import write_entry


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
        When it was saved, or else when the first take was made with it.
    by, why : str
        Who saved it, and for what reason; empty where nobody signed it.
    takes : int
        How many takes were made with it.
    """

    procedure: str
    number: int
    sha256: str
    at_utc: datetime | None
    by: str
    why: str
    takes: int


def read_revisions(name: str, *, on: Connection) -> tuple[Revision, ...]:
    """Return every revision of a procedure, the newest first."""
    snapshots, takes, audit = tables.snapshots, tables.takes, tables.audit
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
        signed = on.execute(
            select(audit)
            .where(audit.c.subject == _subject(form.sha256))
            .order_by(audit.c.id.desc())
            .limit(1)
        ).first()
        count, first_utc = used
        found.append(
            Revision(
                procedure=name,
                number=number,
                sha256=form.sha256,
                at_utc=signed.at_utc if signed else first_utc,
                by=signed.who if signed else "",
                why=signed.why if signed else "",
                takes=count,
            )
        )
    return tuple(reversed(found))


def write_revision(procedure: Procedure, *, by: str, why: str, on: Connection) -> Revision:
    """Sign a form of a procedure, and keep it where the store does not have it yet.

    Raises
    ------
    BadInputError
        Nobody or no reason named.
    """
    taken = snapshot(procedure)
    write_entry(
        who=by,
        what=f"revision of {procedure.name}",
        subject=_subject(taken.sha256),
        why=why,
        on=on,
    )
    snapshot_row(procedure, kind="procedure", name=procedure.name, on=on)
    everyone = read_revisions(procedure.name, on=on)
    return next(one for one in everyone if one.sha256 == taken.sha256)


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


def _subject(sha256: str) -> str:
    return f"procedure {sha256}"
