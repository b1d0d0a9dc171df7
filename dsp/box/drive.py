"""How a boxed unit is driven and listened to: volts, watts into which resistance, distance."""

import math
from dataclasses import dataclass

from dsp.errors import DspError

STATED_V = 2.83


@dataclass(frozen=True, slots=True, kw_only=True)
class Drive:
    """A source with a resistance, and a place on the axis in half space.

    Attributes
    ----------
    volts : float
        V rms of the source, before ``source_ohm``.
    source_ohm : float
        ohm of amplifier and leads.
    distance_m : float
        m.
    """

    volts: float = STATED_V
    source_ohm: float = 0.0
    distance_m: float = 1.0

    def __post_init__(self) -> None:
        for name in ("volts", "distance_m"):
            given = getattr(self, name)
            if not 0 < given < math.inf:
                raise DspError("Drive", f"{name} not positive", given=given, allowed="above 0")
        if not 0 <= self.source_ohm < math.inf:
            raise DspError("Drive", "source_ohm negative", given=self.source_ohm, allowed="from 0")


def volts_for(watts: float, *, ohm: float) -> float:
    """Turn a power into the voltage that stands for it.

    Parameters
    ----------
    watts : float
        W.
    ohm : float
        What the watts are counted in: the rated impedance (IEC 60268-5), or the coil's resistance
        (Small's nominal input power).

    Returns
    -------
    float, V rms.
    """
    return math.sqrt(watts * ohm)
