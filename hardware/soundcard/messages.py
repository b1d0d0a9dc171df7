"""What the window's process and the audio process say to each other: one JSON object a line."""

import json
from dataclasses import asdict, dataclass
from enum import StrEnum


@dataclass(frozen=True, slots=True, kw_only=True)
class DeviceInfo:
    """One sound device as PortAudio sees it.

    Attributes
    ----------
    index : int
        PortAudio's number for it, good for as long as the audio process lives.
    name, host_api : str
        As the chain file names them.
    max_input_channels, max_output_channels : int
        0 where the device has no such direction.
    default_sample_rate_hz : float
        Hz.
    is_default : bool
        Whether its host API would choose it, for either direction.
    portaudio : str
        Version of the library that lists it.
    """

    index: int
    name: str
    host_api: str
    max_input_channels: int
    max_output_channels: int
    default_sample_rate_hz: float
    is_default: bool
    portaudio: str


@dataclass(frozen=True, slots=True, kw_only=True)
class PlayOrder:
    """Everything that the audio process needs for one take.

    Attributes
    ----------
    reel : str
        File that both processes map; see ``hardware.soundcard.reel``.
    frames, input_channels : int
        Shape of what is recorded; the output has the same number of frames.
    ceiling : float
        Full-scale units, never exceeded.
    sample_rate_hz : float
        Hz.
    block : int
        Samples; 0 leaves the choice to the driver.
    output_device, input_device : int
        PortAudio's numbers.
    output_open, input_open : int
        How many channels of each are opened.
    lanes : tuple of int
        Output channels that play the signal, counted from 0; the others play zeros.
    two_streams : bool
        True where output and input are two cards, each with a clock of its own.
    """

    reel: str
    frames: int
    input_channels: int
    ceiling: float
    sample_rate_hz: float
    block: int
    output_device: int
    input_device: int
    output_open: int
    input_open: int
    lanes: tuple[int, ...]
    two_streams: bool


class Event(StrEnum):
    """What the audio process has to tell."""

    HELLO = "hello"  # it lives; the devices come with it
    NO_PORTAUDIO = "no portaudio"  # the library is not on this machine
    MAPPED = "mapped"  # it holds the reel; the file's name is no longer needed
    STARTED = "started"
    DONE = "done"  # the last block was silence, the stream is closed
    REFUSED = "refused"  # the driver said no before anything was played
    LOST = "lost"  # the driver stopped by itself
    ENDED = "ended"  # never sent: its pipe closed, so it is no more


@dataclass(frozen=True, slots=True, kw_only=True)
class Reply:
    """One line from the audio process.

    Attributes
    ----------
    event : Event
        What happened.
    reason : str
        PortAudio's or the system's own words.
    code : int
        PortAudio's error number, 0 where it gave none.
    devices : tuple of DeviceInfo
        With ``HELLO`` only.
    """

    event: Event
    reason: str = ""
    code: int = 0
    devices: tuple[DeviceInfo, ...] = ()


def line_of(message: PlayOrder | Reply) -> bytes:
    """Write ``message`` as one line.

    Returns
    -------
    bytes, UTF-8, with the line's end.
    """
    return json.dumps(asdict(message)).encode() + b"\n"


def order_of(line: bytes) -> PlayOrder:
    """Read back what ``line_of`` wrote.

    Returns
    -------
    PlayOrder
    """
    fields = json.loads(line)
    return PlayOrder(**fields | {"lanes": tuple(fields["lanes"])})


def reply_of(line: bytes) -> Reply:
    """Read back what ``line_of`` wrote.

    Returns
    -------
    Reply
    """
    fields = json.loads(line)
    devices = tuple(DeviceInfo(**device) for device in fields["devices"])
    return Reply(**fields | {"event": Event(fields["event"]), "devices": devices})
