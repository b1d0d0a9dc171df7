"""Files that are there whole or not at all."""

import os
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path
from uuid import uuid4

from app.errors import BadInputError
from app.records.durable import make_folder
from app.records.plain_words import plain_words


@contextmanager
def atomic_path(path: Path) -> Iterator[Path]:
    """Give a place beside ``path`` to write to; what stands there at the end becomes ``path``.

    An older file of that name is replaced in one step; after an error it is still there, and
    nothing else is.

    Raises
    ------
    BadInputError
        The disk did not take it.
    """
    part = path.with_name(f".{path.name}.{uuid4().hex[:8]}.part")
    try:
        make_folder(path.parent)
        yield part
        with part.open("rb+") as file:
            os.fsync(file.fileno())
        part.replace(path)
    except OSError as error:
        raise BadInputError(str(path), f"cannot be written: {plain_words(error)}") from error
    finally:
        _remove(part)


def write_whole(path: Path, content: bytes | memoryview) -> Path:
    """Write a file, or leave what is there; return its path.

    Raises
    ------
    BadInputError
        The disk did not take it.
    """
    with atomic_path(path) as part:
        part.write_bytes(content)
    return path


def _remove(part: Path) -> None:
    try:
        part.unlink(missing_ok=True)
    except OSError:  # no such folder after all: nothing was written either
        return
