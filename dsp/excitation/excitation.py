"""The excitation as one signal: silence, a mark, the segments, silence, the same mark again."""

from dataclasses import dataclass

from dsp.arrays import Floats, read_only
from dsp.excitation.segment import Segment


@dataclass(frozen=True, slots=True, eq=False, kw_only=True)
class Excitation:
    """What is played, in volts across the terminals, and the map of what lies where.

    The two marks are the same short chirp, sample for sample. What comes between them in a
    recording, counted in the recorder's samples, tells how far the two clocks differ, whatever
    the unit does to the chirp.

    Attributes
    ----------
    samples : (n,) array
        V across the terminals, read-only; starts and ends at zero.
    sample_rate_hz : float
        Hz.
    segments : tuple of Segment
        In the order in which they are played.
    quiet_stop : int
        Samples ``0:quiet_stop`` are silent: what is recorded there is noise.
    mark_starts : tuple of two ints
        First sample of either mark.
    mark_samples : int
        Length of the mark.
    """

    samples: Floats
    sample_rate_hz: float
    segments: tuple[Segment, ...]
    quiet_stop: int
    mark_starts: tuple[int, int]
    mark_samples: int

    def __post_init__(self) -> None:
        object.__setattr__(self, "samples", read_only(self.samples))

    @property
    def duration_s(self) -> float:
        """Whole length in s, silence and marks included."""
        return self.samples.size / self.sample_rate_hz
