"""What is shown over the time of a take: a level part by part, and moments that stand out."""

from dataclasses import dataclass
from enum import Enum, auto

import numpy as np

from dsp.arrays import Floats, read_only


class MomentKind(Enum):
    """What a moment is told as."""

    CLICK = auto()  # short, and it does not repeat: the unit's
    RINGING = auto()  # it rings on: something else's


@dataclass(frozen=True, slots=True, kw_only=True)
class Moment:
    """One of them: s, and its level in the unit of the plot."""

    time_s: float
    level: float
    kind: MomentKind = MomentKind.CLICK


@dataclass(frozen=True, slots=True, eq=False, kw_only=True)
class Part:
    """A stretch of a take in which one thing was played.

    Attributes
    ----------
    name : str
        ``60 Hz``, ``sweep``.
    time_s, level : (n,) arrays
        s, rising, and the unit of the plot.
    drive_hz : (n,) array
        Hz, what was played then.
    """

    name: str
    time_s: Floats
    level: Floats
    drive_hz: Floats

    def __post_init__(self) -> None:
        shapes = {self.time_s.shape, self.level.shape, self.drive_hz.shape}
        if len(shapes) > 1 or self.time_s.ndim != 1 or not self.time_s.size:
            raise ValueError(f"part {self.name}: shapes {shapes}, needed one of (n,), n > 0")
        for name in ("time_s", "level", "drive_hz"):
            object.__setattr__(self, name, read_only(getattr(self, name)))

    def times_of(self, hz: float, *, near: float) -> tuple[float, float] | None:
        """Return from when to when a frequency was played, within ``near`` octaves; None: not."""
        away = np.abs(np.log2(self.drive_hz / hz))
        if not away.min() <= near:
            return None
        if np.ptp(self.drive_hz) == 0:
            return float(self.time_s[0]), float(self.time_s[-1])
        at = float(self.time_s[int(np.argmin(away))])
        return at, at
