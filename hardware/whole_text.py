"""Write a text file that is there whole or not at all."""

import os
from pathlib import Path
from uuid import uuid4

from hardware.errors import FileError


def write_text(path: Path, text: str) -> None:
    r"""Replace a text file in one step; after an error the older one is still there.

    Parameters
    ----------
    path : Path
        The file; its folder exists.
    text : str
        Lines ended by ``\n``; written as UTF-8.

    Raises
    ------
    FileError
        The disk did not take it.
    """
    path = path.resolve()  # a link stays a link
    part = path.with_name(f".{path.name}.{uuid4().hex[:8]}.part")
    try:
        with part.open("wb") as file:
            file.write(text.encode())
            file.flush()
            os.fsync(file.fileno())
        if path.exists():
            part.chmod(path.stat().st_mode)
        part.replace(path)
    except OSError as error:
        reason = (error.strerror or str(error)).lower()
        raise FileError(str(path), f"cannot be written: {reason}") from error
    finally:
        if part.exists():
            part.unlink()
