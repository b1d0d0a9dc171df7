"""Who sits at the window, for a field that is filled in beforehand."""

from app.records.logged_in import logged_in

UNKNOWN = "unknown"


def person() -> str:
    """Return the name under which a person is logged in; ``unknown`` where the system has none."""
    return logged_in() or UNKNOWN
