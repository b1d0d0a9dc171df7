"""The audit trail: who decided what, when, on what and why. Entries are added, never changed."""

from dataclasses import dataclass
from datetime import UTC, datetime

from sqlalchemy import Connection, insert, select

from app.errors import BadInputError
from app.records import tables


@dataclass(frozen=True, slots=True, kw_only=True)
class AuditEntry:
    """One decision.

    Attributes
    ----------
    at_utc : datetime
        Aware, UTC.
    who, what, subject, why : str
        For example ``M. K.``, ``marked good``, ``unit T4-W31-0417``, ``opened, coil is centred``.
    """

    at_utc: datetime
    who: str
    what: str
    subject: str
    why: str


def write_entry(*, who: str, what: str, subject: str, why: str, on: Connection) -> int:
    """Add an entry with the time of now, and return its id.

    Raises
    ------
    BadInputError
        Nobody, or no reason, is named.
    """
    for name, given in (("by", who), ("why", why)):
        if not given.strip():
            raise BadInputError(f"{subject}, {what}", f"{name} is empty", allowed="a few words")
    added = on.execute(
        insert(tables.audit)
        .values(
            at_utc=datetime.now(UTC), who=who.strip(), what=what, subject=subject, why=why.strip()
        )
        .returning(tables.audit.c.id)
    )
    return int(added.scalar_one())


def read_entries(
    *, subject: str | None, limit: int | None, offset: int, on: Connection
) -> tuple[AuditEntry, ...]:
    """Return entries, the newest first; of one subject where one is named."""
    audit = tables.audit
    wanted = select(audit).order_by(audit.c.id.desc()).limit(limit).offset(offset)
    if subject is not None:
        wanted = wanted.where(audit.c.subject == subject)
    return tuple(
        AuditEntry(at_utc=row.at_utc, who=row.who, what=row.what, subject=row.subject, why=row.why)
        for row in on.execute(wanted)
    )
