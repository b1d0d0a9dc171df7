"""What a person is told before they approve or retire a revision of limits."""

from collections.abc import Sequence
from dataclasses import dataclass

from app.measure.in_force import InForce
from app.procedure.limit_difference import difference
from app.records.limit_revisions import LimitRevision, same_person

_MOST = 6


@dataclass(frozen=True, slots=True, kw_only=True)
class Question:
    """What the sheet says: title, quiet fact, sentences, and the words on its button."""

    title: str
    fact: str
    lines: tuple[str, ...]
    deed: str


def approval_question(one: LimitRevision, *, force: InForce, by: str) -> Question:
    """Return what is asked before a revision is approved."""
    lines = [f"Drawn by {one.by}: {one.why}"]
    before = force.approved
    if before is None:
        lines.append("No revision of this set was approved before.")
    else:
        lines += _told(one, before=before)
        lines.append(f"Revision {before.number} is retired by that; takes keep what judged them.")
    if same_person(one.by, by):
        lines.append("You drew it, too: the record will say so.")
    return Question(
        title=f"Approve revision {one.number}",
        fact=one.set_name,
        lines=tuple(lines),
        deed="Approve",
    )


def retirement_question(one: LimitRevision) -> Question:
    """Return what is asked before a revision is retired."""
    runs = "Lines then run a set that nobody approves of, until another one is approved."
    drops = "A draft that is withdrawn stays in the list and can be approved later."
    return Question(
        title=f"Retire revision {one.number}",
        fact=one.set_name,
        lines=(runs if one.state == "approved" else drops,),
        deed="Retire",
    )


def _told(one: LimitRevision, *, before: LimitRevision) -> Sequence[str]:
    changes = difference(before.masks, one.masks)
    if not changes:
        return [f"Its limits are those of revision {before.number}."]
    told = [f"{change.words}." for change in changes[:_MOST]]
    more = len(changes) - len(told)
    return [*told, f"And {more} more mask{'s' if more != 1 else ''}."] if more else told
