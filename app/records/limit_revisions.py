"""Numbered revisions of limit sets, each with who drew it, why, and what became of it."""

import hashlib
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from datetime import datetime
from types import MappingProxyType
from typing import Any, Literal

from sqlalchemy import Connection, Row, select

from app.errors import BadInputError
from app.procedure.mask_schema import Mask
from app.records import tables
from app.records.snapshots import Snapshot, read_snapshot, snapshot
from hardware.toml_model import FileModel

LimitState = Literal["draft", "approved", "retired"]


@dataclass(frozen=True, slots=True, eq=False, kw_only=True)
class LimitRevision:
    """One revision of a limit set; masks and number never change, its state does.

    Attributes
    ----------
    set_name : str
        Name of the limit set.
    number : int
        From 1 in each set.
    masks : mapping of str to Mask
        By name, in the order in which they were drawn.
    sha256 : str
        Of the masks, written out whole.
    by, why, at_utc : str, str, datetime
        Who drew it, for what reason, when; aware, UTC.
    state : "draft", "approved" or "retired"
        Of a set at most one revision is approved: the one that lines run.
    approved_by, approved_why, approved_utc : str, str, datetime or None
        Of its last approval, which a retired one keeps; empty and None where it has none.
    retired_by, retired_why, retired_utc : str, str, datetime or None
        Likewise, of its retirement; a revision that is approved again has none.
    """

    set_name: str
    number: int
    masks: Mapping[str, Mask]
    sha256: str
    by: str
    why: str
    at_utc: datetime
    state: LimitState
    approved_by: str = ""
    approved_why: str = ""
    approved_utc: datetime | None = None
    retired_by: str = ""
    retired_why: str = ""
    retired_utc: datetime | None = None

    @property
    def is_self_approved(self) -> bool:
        """Whether the one who approved it had drawn it, too."""
        return self.approved_utc is not None and same_person(self.approved_by, self.by)


class Masks(FileModel):
    """The masks of a revision, as they are kept."""

    masks: dict[str, Mask]


def read_limit_sets(*, on: Connection) -> tuple[str, ...]:
    """Return the name of every limit set, sorted."""
    names = select(tables.limit_revisions.c.set_name).distinct()
    return tuple(sorted(on.execute(names).scalars(), key=str.casefold))


def read_limit_revisions(set_name: str, *, on: Connection) -> tuple[LimitRevision, ...]:
    """Return every revision of a set, the newest first."""
    own, audit = tables.limit_revisions, tables.audit
    rows = on.execute(
        select(own, audit.c.who, audit.c.why, audit.c.at_utc)
        .join(audit)
        .where(own.c.set_name == set_name)
        .order_by(own.c.number.desc())
    ).all()
    steps = _steps_by_revision(set_name, on=on)
    return tuple(_revision(row, steps=steps.get(row.row, ())) for row in rows)


def read_limit_revision(set_name: str, number: int, *, on: Connection) -> LimitRevision:
    """Return one revision.

    Raises
    ------
    BadInputError
        The store has no such set, or no such revision of it.
    """
    everyone = read_limit_revisions(set_name, on=on)
    if not everyone:
        known = ", ".join(read_limit_sets(on=on)) or "none yet"
        raise BadInputError("limits", "no such set", given=set_name, allowed=known)
    found = next((one for one in everyone if one.number == number), None)
    if found is None:
        raise BadInputError(
            f"limits {set_name}", "no such revision", given=number, allowed=f"1 to {len(everyone)}"
        )
    return found


def same_person(one: str, other: str) -> bool:
    """Tell whether two signatures are alike, in any case and spacing."""
    return "".join(one.split()).casefold() == "".join(other.split()).casefold()


def masks_snapshot(masks: Mapping[str, Mask]) -> Snapshot:
    """Write masks down whole."""
    return snapshot(Masks(masks=dict(masks)))


def _steps_by_revision(set_name: str, *, on: Connection) -> dict[int, list[Any]]:
    steps, audit = tables.limit_steps, tables.audit
    rows = on.execute(
        select(steps.c.revision, steps.c.state, audit.c.who, audit.c.why, audit.c.at_utc)
        .join(audit)
        .where(steps.c.set_name == set_name)
        .order_by(steps.c.number)
    )
    found: dict[int, list[Any]] = {}
    for row in rows:
        found.setdefault(row.revision, []).append(row)
    return found


def _revision(row: Row[Any], *, steps: Sequence[Row[Any]]) -> LimitRevision:
    where = f"limits {row.set_name}, revision {row.number}"
    if hashlib.sha256(row.document.encode()).hexdigest() != row.sha256:
        raise BadInputError(where, "the masks are not those that were kept")
    approved = [step for step in steps if step.state == "approved"][-1:]
    retired = [step for step in steps[-1:] if step.state == "retired"]
    return LimitRevision(
        set_name=row.set_name,
        number=row.number,
        masks=MappingProxyType(read_snapshot(row.document, kind=Masks, where=where).masks),
        sha256=row.sha256,
        by=row.who,
        why=row.why,
        at_utc=row.at_utc,
        state=steps[-1].state if steps else "draft",
        approved_by=approved[0].who if approved else "",
        approved_why=approved[0].why if approved else "",
        approved_utc=approved[0].at_utc if approved else None,
        retired_by=retired[0].who if retired else "",
        retired_why=retired[0].why if retired else "",
        retired_utc=retired[0].at_utc if retired else None,
    )
