"""Who sits at the window, as the system knows them."""

import getpass

UNKNOWN = "unknown"


def person() -> str:
    """Return the name under which a person is logged in; ``unknown`` where the system has none."""
    try:
        return getpass.getuser()
    except (KeyError, OSError):  # no such entry: in a container, for example
        return UNKNOWN
