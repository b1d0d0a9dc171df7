"""Say in one line what the disk or the database did not do."""

import errno
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path

from sqlalchemy.exc import SQLAlchemyError

from app.errors import BadInputError

# Error codes of SQLite (their primary part), in a person's words.
_SQLITE = {
    5: "another process has held it for too long",  # BUSY
    6: "another process has held it for too long",  # LOCKED
    8: "it cannot be written to",  # READONLY
    10: "the disk does not take or give the data",  # IOERR
    11: "the file is damaged",  # CORRUPT
    13: "the disk is full",  # FULL
    14: "the file cannot be opened",  # CANTOPEN
    26: "the file is damaged",  # NOTADB
}


def plain_words(error: Exception) -> str:
    """Return the cause of an error of the disk or the database in a few words."""
    cause = getattr(error, "orig", None) or error
    code = getattr(cause, "sqlite_errorcode", None)
    if code is not None and code & 0xFF in _SQLITE:
        return _SQLITE[code & 0xFF]
    if isinstance(cause, OSError) and cause.errno == errno.ENOSPC:
        return _SQLITE[13]
    if isinstance(cause, OSError) and cause.strerror:
        return cause.strerror.lower()
    return " ".join(str(cause).split())


@contextmanager
def refusing(where: Path, doing: str) -> Iterator[None]:
    """Turn errors of disk and database into BadInputError: "WHERE: DOING: cause"."""
    try:
        yield
    except (OSError, SQLAlchemyError) as error:
        raise BadInputError(str(where), f"{doing}: {plain_words(error)}") from error
