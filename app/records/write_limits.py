"""Draw, approve and retire revisions of limit sets; every step a row of its own, none changed."""

from collections.abc import Mapping
from datetime import datetime

from sqlalchemy import Connection, func, insert, select

from app.errors import BadInputError
from app.procedure.mask_schema import Mask
from app.records import tables
from app.records.limit_revisions import (
    LimitRevision,
    LimitState,
    masks_snapshot,
    read_limit_revision,
    read_limit_revisions,
    same_person,
)
from app.records.trail import write_entry


def write_limit_revision(
    set_name: str, masks: Mapping[str, Mask], *, by: str, why: str, on: Connection
) -> LimitRevision:
    """Add a draft to a set, or the first one of a new set.

    Raises
    ------
    BadInputError
        No name, no mask, the masks of the newest revision, or nobody or no reason named.
    """
    name = " ".join(set_name.split())
    if not name:
        raise BadInputError("limits", "the set has no name", allowed="a few words")
    if not masks:
        raise BadInputError(f"limits {name}", "no mask", allowed="one or more")
    everyone = read_limit_revisions(name, on=on)
    if everyone and everyone[0].masks == masks:
        newest = everyone[0]
        raise BadInputError(
            f"limits {name}",
            f"the masks are those of revision {newest.number}, {newest.state}, by {newest.by}",
            allowed="other masks",
        )
    number = everyone[0].number + 1 if everyone else 1
    taken = masks_snapshot(masks)
    entry = write_entry(
        who=by, what=f"revision {number} drawn", subject=limits_subject(name), why=why, on=on
    )
    on.execute(
        insert(tables.limit_revisions).values(
            set_name=name,
            number=number,
            document=taken.document,
            sha256=taken.sha256,
            audit_id=entry,
        )
    )
    return read_limit_revision(name, number, on=on)


def write_approval(
    set_name: str, number: int, *, by: str, why: str, seen: int | None, on: Connection
) -> LimitRevision:
    """Approve a revision; the one that was approved before it is retired.

    Raises
    ------
    BadInputError
        No such revision, it is approved already, another than ``seen`` is, or nobody or no reason
        named.
    """
    own = read_limit_revision(set_name, number, on=on)
    everyone = read_limit_revisions(set_name, on=on)
    before = next((one for one in everyone if one.state == "approved"), None)
    _check_seen(everyone, before=before, seen=seen)
    if before is not None and before.number == number:
        raise BadInputError(_where(own), f"is approved already, {_by_approver(own)}")
    itself = " by the one who drew it" if same_person(by, own.by) else ""
    _step(own, "approved", what=f"approved{itself}", by=by, why=why, on=on)
    if before is not None:
        note = f"revision {number} takes its place: {why}"
        _step(before, "retired", what="retired", by=by, why=note, on=on)
    return read_limit_revision(set_name, number, on=on)


def write_retirement(
    set_name: str, number: int, *, by: str, why: str, on: Connection
) -> LimitRevision:
    """Retire a revision, or withdraw a draft.

    Raises
    ------
    BadInputError
        No such revision, it is retired already, or nobody or no reason named.
    """
    own = read_limit_revision(set_name, number, on=on)
    if own.state == "retired":
        told = _by_and_at(own.retired_by, own.retired_utc)
        raise BadInputError(_where(own), f"is retired already, {told}")
    what = "withdrawn" if own.state == "draft" else "retired"
    _step(own, "retired", what=what, by=by, why=why, on=on)
    return read_limit_revision(set_name, number, on=on)


def limits_subject(set_name: str) -> str:
    """Return what the audit trail calls a limit set."""
    return f"limits {set_name}"


def _check_seen(
    everyone: tuple[LimitRevision, ...], *, before: LimitRevision | None, seen: int | None
) -> None:
    where = limits_subject(everyone[0].set_name)
    if before is not None and before.number != seen:
        raise BadInputError(
            where,
            f"revision {before.number} was approved {_by_approver(before)} meanwhile",
            allowed="look at that one, then approve again",
        )
    if before is None and seen is not None:
        gone = next((one for one in everyone if one.number == seen), None)
        told = f" {_by_and_at(gone.retired_by, gone.retired_utc)}" if gone is not None else ""
        raise BadInputError(
            where,
            f"revision {seen} was retired{told} meanwhile",
            allowed="look at the set as it is, then approve again",
        )


def _step(
    own: LimitRevision, state: LimitState, *, what: str, by: str, why: str, on: Connection
) -> None:
    entry = write_entry(
        who=by,
        what=f"revision {own.number} {what}",
        subject=limits_subject(own.set_name),
        why=why,
        on=on,
    )
    steps, revisions = tables.limit_steps, tables.limit_revisions
    last = on.execute(
        select(func.max(steps.c.number)).where(steps.c.set_name == own.set_name)
    ).scalar()
    row = on.execute(
        select(revisions.c.row).where(
            revisions.c.set_name == own.set_name, revisions.c.number == own.number
        )
    ).scalar_one()
    on.execute(
        insert(steps).values(
            set_name=own.set_name,
            number=(last or 0) + 1,
            revision=row,
            state=state,
            audit_id=entry,
        )
    )


def _where(own: LimitRevision) -> str:
    return f"limits {own.set_name}, revision {own.number}"


def _by_approver(own: LimitRevision) -> str:
    return _by_and_at(own.approved_by, own.approved_utc)


def _by_and_at(by: str, at_utc: datetime | None) -> str:
    return f"by {by} at {at_utc:%Y-%m-%d %H:%M} UTC" if at_utc else ""
