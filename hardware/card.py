"""The door to whatever plays and records: a sound card, or the virtual rig."""

from collections.abc import Callable
from dataclasses import dataclass
from datetime import datetime
from typing import Protocol

import numpy as np
from numpy.typing import NDArray

from dsp import read_only

Samples = NDArray[np.float32]


@dataclass(frozen=True, slots=True, eq=False, kw_only=True)
class PlayRequest:
    """One thing to play while everything is recorded.

    Attributes
    ----------
    output : (n,) float32 array
        Full-scale units (1.0 is the converter's peak) for the one channel that drives the unit.
    output_channel : int
        Counted from 1; every other output plays zeros.
    input_channels : int
        How many input channels to record, from the first.
    sample_rate_hz : float
        Hz.
    ceiling : float
        Full-scale units; no sample beyond plus or minus this ever reaches the converter.
    copy_channel : int or None
        Another output, counted from 1, that plays the same signal, for a loopback wired from
        there; None where only the driving output plays.
    """

    output: Samples
    output_channel: int
    input_channels: int
    sample_rate_hz: float
    ceiling: float
    copy_channel: int | None = None


@dataclass(frozen=True, slots=True, eq=False, kw_only=True)
class Progress:
    """How far a run has come.

    Attributes
    ----------
    frames_played, frames : int
        Sample frames played so far, and in all.
    fresh : (m, channels) float32 array
        What was recorded since the last report, full-scale units, read-only; all reports of a run
        together are what its capture holds. A view where it can be: copy what must last.
    """

    frames_played: int
    frames: int
    fresh: Samples

    def __post_init__(self) -> None:
        if self.fresh.flags.writeable:
            closed = self.fresh.view()
            closed.flags.writeable = False
            object.__setattr__(self, "fresh", closed)

    @property
    def input_peak(self) -> tuple[float, ...]:
        """Largest absolute sample of each input since the last report, full-scale units.

        Empty where nothing was recorded meanwhile.
        """
        if not self.fresh.shape[0]:
            return ()
        peaks = np.abs(self.fresh).max(axis=0, initial=0.0)
        return tuple(float(peak) for peak in peaks)


@dataclass(frozen=True, slots=True, eq=False, kw_only=True)
class Capture:
    """The raw recording of one excitation.

    Attributes
    ----------
    samples : (n, channels) float32 array
        Full-scale units, read-only; column c is input channel c + 1.
    sample_rate_hz : float
        Hz.
    started_utc : datetime
        When the first sample was asked for.
    card : str
        Name, host API and driver version of what recorded it.
    dropouts : int
        How often the driver said that it lost or repeated samples.
    lost_channels : tuple of int
        Channels, counted from 1, that fell to exact zeros while the output still played.
    """

    samples: Samples
    sample_rate_hz: float
    started_utc: datetime
    card: str
    dropouts: int = 0
    lost_channels: tuple[int, ...] = ()

    def __post_init__(self) -> None:
        object.__setattr__(self, "samples", read_only(self.samples))


class Card(Protocol):
    """Plays one request and returns what came in meanwhile."""

    def play(
        self,
        request: PlayRequest,
        *,
        on_progress: Callable[[Progress], None],
        should_stop: Callable[[], bool],
    ) -> Capture:
        """Play ``request`` to its end, or until ``should_stop`` says so, and ramp to silence.

        Parameters
        ----------
        request : PlayRequest
            What to play, where, how fast and how loud at most.
        on_progress : callable
            Called at least 20 times a second, in the caller's thread.
        should_stop : callable
            Asked as often; True ends the run within one block of the card.

        Returns
        -------
        Capture, (n, channels); a stopped run returns what had been recorded until then.

        Raises
        ------
        CardRefusedError, CardLostError, OutputTooHighError
        """
        ...

    def close(self) -> None:
        """Let go of the device; the card cannot play again."""
        ...
