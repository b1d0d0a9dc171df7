"""Where the files of an exported take go, and what is said of it."""

import re
from pathlib import Path

from app.records.take import Take

FORMATS = ("csv", "json")
_NOT_IN_A_NAME = re.compile(r"[^\w.-]+")


def take_folder(take: Take, *, folder: Path) -> Path:
    """Return the folder of one take: its serial as a file name, and the start of its id."""
    serial = _NOT_IN_A_NAME.sub("_", take.unit or "unit").strip("._") or "unit"
    return folder / f"{serial}-{take.id[:8]}"


def exported(folder: Path, *, files: int) -> str:
    """Say that a take was written."""
    return f"{files} files written to {folder.name} in {folder.parent}."


def not_exported(error: Exception) -> str:
    """Say that a take was not written, and that it is safe."""
    return f"Not exported: {str(error).rstrip('.')}. The take is in the store."
