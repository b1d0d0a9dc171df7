"""What the window knows of the run in progress, frozen."""

from dataclasses import dataclass

from app.measure.events import State
from app.measure.live import LiveReading


@dataclass(frozen=True, slots=True, eq=False, kw_only=True)
class RunState:
    """Where the run is.

    Attributes
    ----------
    phase : State
        READY before the first and, in effect, DONE, STOPPED and FAILED after each.
    number : int
        Number that its take will have in the store; 0 where no take comes of it.
    unit, lot : str or None
        What is being measured.
    played_s, whole_s : float
        s of the excitation.
    input_peak_dbfs : tuple of float
        Of each input channel from the first, since the last report.
    again : int
        How often it was begun again, because something else than the unit was heard.
    live : tuple of LiveReading
        Points that could be read since the last report; empty outside PLAYING.
    """

    phase: State = State.READY
    number: int = 0
    unit: str | None = None
    lot: str | None = None
    played_s: float = 0.0
    whole_s: float = 0.0
    input_peak_dbfs: tuple[float, ...] = ()
    again: int = 0
    live: tuple[LiveReading, ...] = ()

    @property
    def is_active(self) -> bool:
        """Whether something plays or is being worked out."""
        return self.phase not in {State.READY, State.DONE, State.STOPPED, State.FAILED}

    @property
    def is_sounding(self) -> bool:
        """Whether sound is out."""
        return self.phase in {State.CHECKING, State.PROBING, State.SOUNDING, State.PLAYING}

    @property
    def is_elsewhere(self) -> bool:
        """Whether what sounds is on no wire of the chain."""
        return self.phase is State.SOUNDING

    @property
    def makes_take(self) -> bool:
        """Whether a take is being made, and not a level tried, a link proved, a residual heard."""
        return self.is_active and self.number > 0


@dataclass(frozen=True, slots=True, kw_only=True)
class Failure:
    """Why there is no take; nothing was kept.

    Attributes
    ----------
    sentence : str
        One line, as on the command line.
    card_lost : bool
        Whether the card went away, so that looking again is what helps.
    at : str
        Clock time, UTC, hours to seconds.
    played_s : float
        How far the excitation had come, s.
    """

    sentence: str
    card_lost: bool
    at: str
    played_s: float
