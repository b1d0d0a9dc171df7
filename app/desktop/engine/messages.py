"""What the window's process and the engine's say to each other: frames, pickled, over two pipes."""

import pickle
import struct
from dataclasses import dataclass, field
from enum import IntEnum
from typing import IO

from app.measure.make_take import Job

_HEAD = struct.Struct(">BqQ")  # kind, number, length of what comes


class Order(IntEnum):
    """What the window orders; all but ``STOP`` carry a number of their own, each a larger one."""

    MAKE = 1  # a take: Wanted
    TRY = 2  # a quiet trial of one: Wanted
    LISTEN = 3  # until any newer order: app.measure.listen.Ear
    HEAR = 4  # a calibrator, until it has settled or any newer order: ListenFor
    HUSH = 5  # nothing more than to be newer
    LET_GO = 6  # of the card
    STOP = 7  # the take, the trial, the probe or the sound of this number
    PROBE = 8  # a link: app.measure.probe_run.Probing
    SOUND = 9  # to a person: app.measure.sound_run.Sound


class Report(IntEnum):
    """What the engine tells; the number is that of the order which it is about."""

    TOLD = 1  # an event of app.measure.events
    FAILED = 2  # Mishap: there is no take
    ENDED = 3  # last of all of what can be stopped, however it went
    HEARD = 4  # dB of each input, while nothing plays
    DEAF = 5  # Mishap: the listening has ended
    FREE = 6  # the card is closed
    FOLLOWED = 7  # app.calibrate.follow.Followed: how far a coupling has come
    COUPLED = 8  # hardware.card.Capture of one that has settled; None: it was stopped
    UNHEARD = 9  # Mishap: there is no coupling
    DEFECT = 10  # Broken; the process ends


@dataclass(frozen=True, slots=True, kw_only=True)
class Wanted:
    """A take to be made: the job without its store, and what that is opened by."""

    job: Job
    store: str | None = field(repr=False)  # there may be a password in it


@dataclass(frozen=True, slots=True, kw_only=True)
class Mishap:
    """Why something did not come about, in one line that a person can act upon."""

    sentence: str
    card_lost: bool = False


@dataclass(frozen=True, slots=True, kw_only=True)
class Broken:
    """A defect of ours: what it was in one line, and where it happened."""

    what: str
    trace: str


@dataclass(frozen=True, slots=True, kw_only=True)
class Frame:
    """One message as it came; unpickled by whoever needs it, because that may import."""

    kind: int
    number: int
    pickled: bytes

    def what(self) -> object:
        """Return what was sent."""
        return pickle.loads(self.pickled)


def write_frame(pipe: IO[bytes], *, kind: int, number: int, what: object) -> None:
    """Send one message.

    Raises
    ------
    OSError
        Nobody is left at the other end.
    """
    pickled = pickle.dumps(what, protocol=5)
    pipe.write(_HEAD.pack(kind, number, len(pickled)))
    pipe.write(pickled)
    pipe.flush()


def read_frame(pipe: IO[bytes]) -> Frame | None:
    """Wait for a message; None where the pipe has ended, perhaps in the middle of one."""
    head = pipe.read(_HEAD.size)
    if len(head) < _HEAD.size:
        return None
    kind, number, length = _HEAD.unpack(head)
    pickled = pipe.read(length)
    return Frame(kind=kind, number=number, pickled=pickled) if len(pickled) == length else None
