"""Whether a procedure judges by a revision of limits that nobody stands behind."""

from app.procedure.schema import Procedure
from app.records.store import Store


def unapproved(store: Store | None, procedure: Procedure) -> str:
    """Say what is wrong with the revision that a procedure names.

    Parameters
    ----------
    store : Store or None
        Where revisions are kept.
    procedure : Procedure
        Whose limits are asked for.

    Returns
    -------
    str, one sentence; empty where the revision is approved, where the procedure names none, and
    where the store doesn't know it: limits may have come with their file from another store.
    """
    if store is None or procedure.limits is None:
        return ""
    name, number = procedure.limits.set, procedure.limits.revision
    revisions = store.limit_revisions(name)
    one = next((each for each in revisions if each.number == number), None)
    if one is None:
        return ""
    approved = next((each for each in revisions if each.state == "approved"), None)
    instead = f"revision {approved.number} is approved" if approved else "none is approved"
    where = f"limits {name}, revision {number}"
    if one.state == "draft":
        return f"{where}: a draft, which nobody has approved; {instead}"
    if one.state == "retired" and one.retired_utc is not None:
        when = one.retired_utc.astimezone()
        return f"{where}: retired on {when:%Y-%m-%d} by {one.retired_by}; {instead}"
    if dict(one.masks) != procedure.masks:
        return f"{where}: approved, but the procedure judges by other masks than its"
    return ""
