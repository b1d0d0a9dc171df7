"""Who is named in a record where nobody says so: the person as the system knows them."""

import getpass


def logged_in() -> str | None:
    """Return the name under which a person is logged in; None where the system has none."""
    try:
        return getpass.getuser()
    except (KeyError, OSError):  # no such entry: in a container, for example
        return None
