"""Files that are on the disk when the call returns."""

import errno
import os
from pathlib import Path


def write_synced(path: Path, content: memoryview) -> None:
    """Write a file and wait until it is on the disk."""
    with path.open("wb") as file:
        file.write(content)
        file.flush()
        os.fsync(file.fileno())


def sync_folder(folder: Path) -> None:
    """Wait until the names in a folder are on the disk; Windows writes them by itself."""
    if os.name == "nt":
        return
    handle = os.open(folder, os.O_RDONLY)
    try:
        os.fsync(handle)
    finally:
        os.close(handle)


def make_folder(folder: Path) -> None:
    """Make a folder, and those above it, where it is not there yet."""
    if folder.is_dir():
        return
    if folder.exists():
        raise NotADirectoryError(errno.ENOTDIR, os.strerror(errno.ENOTDIR), str(folder))
    make_folder(folder.parent)
    folder.mkdir(exist_ok=True)
    sync_folder(folder.parent)
