"""Writes a stored take to a folder in open formats."""

import re
from dataclasses import dataclass
from pathlib import Path

from app.records.store import Store
from app.records.take import Take

_NOT_IN_A_NAME = re.compile(r"[^\w.-]+")


@dataclass(frozen=True, slots=True, kw_only=True)
class Written:
    """Where the files of a take lie, and how many they are."""

    folder: Path
    files: int


def export_stored(store: Store, *, take_id: str, folder: Path) -> Written:
    """Write a take with its recording, in a folder of its own inside ``folder``.

    Raises
    ------
    BadInputError
        No such take, its recording is missing or changed, or the disk did not take a file.
    """
    from app.report.export import export_take

    take = store.take(take_id)
    own = folder.expanduser() / name_of(take)
    files = export_take(take, folder=own, capture=store.capture(take))
    return Written(folder=own, files=len(files))


def name_of(take: Take) -> str:
    """Return what a take's files are called: its unit and the first digits of its id."""
    serial = _NOT_IN_A_NAME.sub("_", take.unit or "unit").strip("._") or "unit"
    return f"{serial}-{take.id[:8]}"
