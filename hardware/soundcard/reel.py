"""Memory that both processes see: what to play, what came in, and how far it has come."""

import mmap
import os
import shutil
import tempfile
from enum import IntEnum
from pathlib import Path

import numpy as np

from hardware.card import Samples

_HEAD_BYTES = 4096
_SHARED_MEMORY = Path("/dev/shm")  # Linux; elsewhere a file


class Counter(IntEnum):
    """Places in the head, 64-bit integers each."""

    STOP = 0  # set by the window's process: ramp to silence now
    PLAYED = 1  # frames handed to the converter
    RECORDED = 2  # frames that came in
    DROPOUTS = 3  # blocks that the driver flagged
    SILENT_BLOCKS = 4  # blocks of zeros after the end


class Reel:
    """One take's shared memory: counters, output (frames,), input (frames, channels).

    Parameters
    ----------
    path : Path
        File to map; its size fits ``frames`` and ``channels``.
    frames, channels : int
        Shape of the input.

    Attributes
    ----------
    counters : (…,) int64 array
        Indexed by ``Counter``.
    output : (frames,) float32 array
        Full-scale units.
    input : (frames, channels) float32 array
        Full-scale units.
    """

    def __init__(self, path: Path, *, frames: int, channels: int) -> None:
        self.path = path
        with path.open("r+b") as file:
            memory = mmap.mmap(file.fileno(), _size(frames, channels))
        floats = np.frombuffer(memory, dtype=np.float32, offset=_HEAD_BYTES)
        self.counters = np.frombuffer(memory, dtype=np.int64, count=len(Counter))
        self.output: Samples = floats[:frames]
        self.input: Samples = floats[frames:].reshape(frames, channels)

    @property
    def played(self) -> int:
        """Frames handed to the converter."""
        return int(self.counters[Counter.PLAYED])

    @property
    def recorded(self) -> int:
        """Frames that came in."""
        return int(self.counters[Counter.RECORDED])

    @property
    def dropouts(self) -> int:
        """Blocks that the driver flagged."""
        return int(self.counters[Counter.DROPOUTS])

    def stop(self) -> None:
        """Ask the other process to ramp to silence within its next block."""
        self.counters[Counter.STOP] = 1

    def forget_name(self) -> None:
        """Take the file's name away; the memory lives on for whoever has mapped it."""
        try:
            self.path.unlink(missing_ok=True)
        except PermissionError:  # Windows keeps a mapped file; the folder goes with the card
            return


def new_reel(output: Samples, *, channels: int, folder: Path) -> Reel:
    """Make the memory for one take, every page of it really there.

    Parameters
    ----------
    output : (n,) float32 array
        Full-scale units.
    channels : int
        Inputs to record.
    folder : Path
        Where the file stands for the moment in which both processes open it.

    Returns
    -------
    Reel, (n, channels).

    Raises
    ------
    OSError
        No room.
    """
    handle, name = tempfile.mkstemp(prefix="take-", dir=folder)
    path = Path(name)
    try:
        # Written, not just sized: a page that is missing when the callback touches it would end
        # the process, and a full disk is told here, in words.
        with os.fdopen(handle, "wb") as file:
            file.write(bytes(_HEAD_BYTES))
            file.write(output.astype(np.float32).tobytes())
            for _ in range(channels):
                file.write(bytes(4 * output.size))
        return Reel(path, frames=output.size, channels=channels)
    except OSError:
        path.unlink(missing_ok=True)
        raise


def roomy_folder(frames: int, *, channels: int) -> Path:
    """Find memory for a reel: real shared memory where it has room, else the temporary folder.

    Returns
    -------
    Path
    """
    try:
        free = shutil.disk_usage(_SHARED_MEMORY).free
    except OSError:
        return Path(tempfile.gettempdir())
    roomy = free > 2 * _size(frames, channels) and os.access(_SHARED_MEMORY, os.W_OK)
    return _SHARED_MEMORY if roomy else Path(tempfile.gettempdir())


def _size(frames: int, channels: int) -> int:
    return _HEAD_BYTES + 4 * frames * (1 + channels)
