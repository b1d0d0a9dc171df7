"""What a run tells while it goes on: frozen, in order, its result or an exception last."""

from dataclasses import dataclass
from enum import Enum

from app.measure.derived import Derived
from app.measure.live import LiveReading
from app.records.take import Take
from hardware.card import Capture
from hardware.soundcard.preflight import Forecast


class State(Enum):
    """Where a run is; the values are words fit for a status line."""

    READY = "ready"
    CHECKING = "checking levels"  # a quiet trial tells whether an input would clip
    PROBING = "probing a link"  # sound is out, for a calibration; no take comes of it
    SOUNDING = "playing a residual"  # to a person, on another output; no take comes of it
    PLAYING = "playing"  # sound is out; Stop ramps it down within one block
    DERIVING = "deriving"  # silent again: the unit may be taken off
    JUDGING = "judging"
    KEEPING = "keeping"  # from here on the take survives whatever happens
    DONE = "done"
    STOPPED = "stopped"  # by the person; nothing was kept
    FAILED = "failed"  # nothing was kept


# Every way that a run may go; anything else is a defect of ours.
TRANSITIONS: dict[State, frozenset[State]] = {
    State.READY: frozenset(
        {State.CHECKING, State.PROBING, State.SOUNDING, State.PLAYING, State.FAILED}
    ),
    State.CHECKING: frozenset({State.PLAYING, State.DONE, State.STOPPED, State.FAILED}),
    State.PROBING: frozenset({State.DONE, State.STOPPED, State.FAILED}),
    State.SOUNDING: frozenset({State.DONE, State.STOPPED, State.FAILED}),
    State.PLAYING: frozenset({State.DERIVING, State.STOPPED, State.FAILED}),
    State.DERIVING: frozenset({State.JUDGING, State.FAILED}),
    # A take that was disturbed is made again.
    State.JUDGING: frozenset({State.PLAYING, State.KEEPING, State.FAILED}),
    State.KEEPING: frozenset({State.DONE, State.FAILED}),
    State.DONE: frozenset(),
    State.STOPPED: frozenset(),
    State.FAILED: frozenset(),
}


@dataclass(frozen=True, slots=True, kw_only=True)
class Entered:
    """The run has come to another state."""

    state: State


@dataclass(frozen=True, slots=True, kw_only=True)
class Played:
    """How far the output has come, and how loud the inputs were since the last report.

    ``input_peak_dbfs`` counts from the converter's peak, one value a channel;
    empty where nothing was recorded meanwhile. ``live`` has the
    points of level and impedance that could be read since the last report, in playing order.
    """

    played_s: float
    whole_s: float
    input_peak_dbfs: tuple[float, ...]
    live: tuple[LiveReading, ...] = ()


@dataclass(frozen=True, slots=True, kw_only=True)
class Warned:
    """Something that the record will carry; the run goes on."""

    sentence: str


@dataclass(frozen=True, slots=True, eq=False, kw_only=True)
class Finished:
    """The take stands, and is in the store where one was named."""

    take: Take
    derived: Derived
    kept: bool


@dataclass(frozen=True, slots=True, eq=False, kw_only=True)
class Tried:
    """A trial for its own sake has ended: what every wired input would give at full drive."""

    forecast: Forecast


@dataclass(frozen=True, slots=True, eq=False, kw_only=True)
class Probed:
    """A link was probed: what every input recorded, one capture for each time it was played."""

    captures: tuple[Capture, ...]


Event = Entered | Played | Warned | Finished | Tried | Probed
