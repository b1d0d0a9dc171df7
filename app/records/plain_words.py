"""Say in one line what the disk or the database did not do."""

import errno
import re
from collections.abc import Iterator
from contextlib import contextmanager
from typing import Any

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

# Codes of PostgreSQL (SQLSTATE, from its beginning).
_SERVER_CODES = {
    "08": "the server went away",
    "25006": "it cannot be written to",
    "25P03": "the server ended it after too long a pause",
    "42501": "the server does not allow that to this user",
    "53100": "the server's disk is full",
    "53300": "the server has no connection left",
    "55P03": "another process has held it for too long",
    "57P": "the server went away",
}
# A server that refuses a connection gives no code; its driver quotes what it said.
_SERVER_SAID = (
    (r"password authentication failed", "user or password is wrong"),
    (r"no password supplied", "the server asks for a password"),
    (r'role ".*" does not exist', "the server knows no such user"),
    (r'database ".*" does not exist', "the server has no such database"),
    (r"no pg_hba.conf entry", "the server does not let this user in from here"),
    (r"resolve host|translate host name|getaddrinfo", "there is no server of that name"),
    (r"timeout expired|timed out", "the server does not answer"),
    (r"refused|No such file or directory", "no server answers there"),
    (r"too many clients|remaining connection slots", "the server has no connection left"),
    (r"closed the connection|connection is lost|consuming input", "the server went away"),
)


def plain_words(error: Exception) -> str:
    """Return the cause of an error of the disk or the database in a few words."""
    cause = getattr(error, "orig", None) or error
    code = getattr(cause, "sqlite_errorcode", None)
    if code is not None and code & 0xFF in _SQLITE:
        return _SQLITE[code & 0xFF]
    if (said := _of_server(cause)) is not None:
        return said
    if isinstance(cause, OSError) and cause.errno == errno.ENOSPC:
        return _SQLITE[13]
    if isinstance(cause, OSError) and cause.strerror:
        return cause.strerror.lower()
    return " ".join(str(cause).split())


def _of_server(cause: Any) -> str | None:
    code = getattr(cause, "sqlstate", None) or ""
    if code:
        told = [words for begin, words in _SERVER_CODES.items() if code.startswith(begin)]
        return told[0] if told else cause.diag.message_primary
    if not hasattr(cause, "pgconn"):
        return None
    said = str(cause)
    return next((words for pattern, words in _SERVER_SAID if re.search(pattern, said)), None)


@contextmanager
def refusing(where: str, doing: str) -> Iterator[None]:
    """Turn errors of disk and database into BadInputError: "WHERE: DOING: cause"."""
    try:
        yield
    except (OSError, SQLAlchemyError) as error:
        raise BadInputError(where, f"{doing}: {plain_words(error)}") from error
