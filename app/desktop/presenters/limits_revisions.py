"""Revisions of a limit set and the draft above them, as rows."""

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date, datetime

from app.desktop.presenters.mark import Mark
from app.measure.in_force import InForce
from app.records.limit_revisions import LimitRevision

UNSAVED = 0  # no revision has that number
_MARKS = {"draft": Mark.UNDECIDED, "approved": Mark.GOOD, "retired": Mark.NONE}


@dataclass(frozen=True, slots=True, kw_only=True)
class RevisionRow:
    """One row: its number (``UNSAVED`` for what is on the bench), mark, words and day."""

    number: int
    mark: Mark
    words: str
    day: str
    note: str = ""


@dataclass(frozen=True, slots=True, kw_only=True)
class RevisionsState:
    """The section: its quiet fact and its rows, the newest first."""

    fact: str
    rows: tuple[RevisionRow, ...]


def revisions_state(
    force: InForce, *, on_bench: LimitRevision | None, edits: int, today: date
) -> RevisionsState:
    """Return the section.

    Parameters
    ----------
    force : InForce
        The limit set.
    on_bench : LimitRevision or None
        Which revision the bench has; None: one that was not saved.
    edits : int
        How many masks on the bench differ from those in force.
    today : date
        In the zone of the person.
    """
    rows = []
    if on_bench is None:
        rows.append(_unsaved(force, edits=edits))
    rows += [_row(one, today=today) for one in force.revisions]
    fact = f"{on_bench.number} on the bench" if on_bench is not None else "not saved yet"
    return RevisionsState(fact=fact, rows=tuple(rows))


def _unsaved(force: InForce, *, edits: int) -> RevisionRow:
    if edits:
        words = f"{force.next_number}, not saved: {edits} mask{'s' if edits != 1 else ''}"
        return RevisionRow(number=UNSAVED, mark=Mark.UNDECIDED, words=words, day="now")
    return RevisionRow(number=UNSAVED, mark=Mark.NONE, words="as opened, not saved", day="now")


def _row(one: LimitRevision, *, today: date) -> RevisionRow:
    at, who, why = one.at_utc, one.by, one.why
    if one.state == "approved" and one.approved_utc is not None:
        at, who, why = one.approved_utc, one.approved_by, one.approved_why
    elif one.state == "retired" and one.retired_utc is not None:
        at, who, why = one.retired_utc, one.retired_by, one.retired_why
    return RevisionRow(
        number=one.number,
        mark=_MARKS[one.state],
        words=f"{one.number}, {one.state}: {who}",
        day=day_text(at, today=today),
        note="\n".join(history(one)) or why,
    )


def history(one: LimitRevision) -> Sequence[str]:
    """Say what became of a revision, a line a step."""
    lines = [f"Drawn {_day(one.at_utc)} by {one.by}: {one.why}"]
    if one.approved_utc is not None:
        same = ", who drew it, too" if one.is_self_approved else ""
        who = f"{one.approved_by}{same}"
        lines.append(f"Approved {_day(one.approved_utc)} by {who}: {one.approved_why}")
    if one.retired_utc is not None:
        lines.append(f"Retired {_day(one.retired_utc)} by {one.retired_by}: {one.retired_why}")
    return tuple(lines)


def day_text(at: datetime, *, today: date) -> str:
    """Write a day: ``today``, ``12 Jun``, ``12 Jun 2030``."""
    day = at.astimezone().date()
    if day == today:
        return "today"
    return f"{day.day} {day:%b}" + (f" {day.year}" if day.year != today.year else "")


def _day(at: datetime) -> str:
    return f"{at.astimezone():%Y-%m-%d}"
