"""Impulses: what stands out of the random part for a moment, and whether it rings long."""

from dataclasses import dataclass

import numpy as np

from dsp.arrays import Bools, Floats, read_only


@dataclass(frozen=True, slots=True, eq=False, kw_only=True)
class Impulses:
    """Impulses that do not repeat with the period, in the order in which they came.

    Attributes
    ----------
    time_s : (m,) array
        s from the start of the excitation, of the largest sample.
    peak_pa : (m,) array
        Pa, largest magnitude within the band of the residual.
    duration_s : (m,) array
        s from the first crossing of the threshold to the last.
    is_short : (m,) bool array
        True: a click, as of a particle, also one that rings in every tone of the unit's own;
        False: it rings, as what falls in a hall does.
    drive_hz : (m,) array
        Hz, what the excitation played at that moment.
    """

    time_s: Floats
    peak_pa: Floats
    duration_s: Floats
    is_short: Bools
    drive_hz: Floats

    def __post_init__(self) -> None:
        for name in ("time_s", "peak_pa", "duration_s", "is_short", "drive_hz"):
            object.__setattr__(self, name, read_only(getattr(self, name)))

    @property
    def short_count(self) -> int:
        """How many are short: those that count against the unit."""
        return int(np.count_nonzero(self.is_short))
