"""Revisions of a procedure and the draft above them, as rows."""

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date

from app.desktop.presenters.mark import Mark
from app.records.revisions import Revision


@dataclass(frozen=True, slots=True, kw_only=True)
class RevisionRow:
    """One row: its key (the SHA-256 of the revision; empty for the draft), mark, words and day."""

    key: str
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
    revisions: Sequence[Revision],
    *,
    base: Revision | None,
    on_bench: Revision | None,
    edits: int,
    today: date,
) -> RevisionsState:
    """Return the section.

    Parameters
    ----------
    revisions : sequence of Revision
        The newest first.
    base : Revision or None
        The one in force.
    on_bench : Revision or None
        Which one the procedure on the bench is; None: a draft.
    edits : int
        How many masks of it differ from the one in force.
    today : date
        In the zone of the person.
    """
    rows = []
    if on_bench is None:
        count = f"{edits} mask{'s' if edits != 1 else ''}" if edits else "not saved"
        rows.append(
            RevisionRow(
                key="",
                mark=Mark.UNDECIDED,
                words=f"{next_number(revisions)}, draft: {count}",
                day="now",
            )
        )
    rows += [_row(one, base=base, today=today) for one in revisions]
    if on_bench is None:
        fact = f"draft of {next_number(revisions)}"
    else:
        fact = f"{on_bench.number} on the bench"
    return RevisionsState(fact=fact, rows=tuple(rows))


def next_number(revisions: Sequence[Revision]) -> int:
    """Return the number that a revision saved now would have."""
    return max((one.number for one in revisions), default=0) + 1


def _row(one: Revision, *, base: Revision | None, today: date) -> RevisionRow:
    in_force = base is not None and one.sha256 == base.sha256
    if one.by:
        words = f"{one.number}, {'in force' if in_force else 'replaced'}: {one.by}"
    else:
        takes = f"{one.takes} take{'s' if one.takes != 1 else ''}"
        words = f"{one.number}, unsigned: {takes}"
    return RevisionRow(
        key=one.sha256,
        mark=Mark.GOOD if in_force else Mark.NONE,
        words=words,
        day=day_text(one, today=today),
        note=one.why,
    )


def day_text(one: Revision, *, today: date) -> str:
    """Write the day of a revision: ``today``, ``12 Jun``, ``12 Jun 2030``."""
    if one.at_utc is None:
        return ""
    day = one.at_utc.astimezone().date()
    if day == today:
        return "today"
    return f"{day.day} {day:%b}" + (f" {day.year}" if day.year != today.year else "")
