"""Where a calibration in the window is."""

from enum import Enum


class Phase(Enum):
    """Where it is."""

    CLOSED = "closed"
    NOT_READY = "not ready"  # something that is typed cannot be taken
    HEARING = "hearing"
    WORKING = "working"
    REFUSED = "refused"  # kept as such
    ACCEPTED = "accepted"  # not kept yet
    FAILED = "failed"  # the card, or the recording
