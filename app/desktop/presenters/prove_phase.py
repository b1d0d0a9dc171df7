"""Where the proof of a link in the window is."""

from enum import Enum


class ProvePhase(Enum):
    """Where it is."""

    CLOSED = "closed"
    NOT_READY = "not ready"  # something that is typed cannot be taken
    READY = "ready"  # nothing plays until a key is pressed
    PLAYING = "playing"
    READING = "reading"  # it was played; what the meter showed is to be typed
    WORKING = "working"
    REFUSED = "refused"  # kept as such
    ACCEPTED = "accepted"  # not kept yet
    FAILED = "failed"  # the card, or the recording
