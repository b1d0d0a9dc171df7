"""Vents: how long they must be for a tuning, and what tuning a length gives."""

import math
from dataclasses import dataclass, replace
from typing import Literal

from dsp.acoustic.air import Air
from dsp.errors import DspError

End = Literal["flanged", "free"]

# Air that moves along beyond an end, in radii: in a wall (Rayleigh, 8 / (3 pi), the value at low
# frequencies for a piston), and on a pipe that stands free (H. Levine, J. Schwinger, Phys. Rev. 73
# (1948) 383).
END_RADII: dict[End, float] = {"flanged": 8 / (3 * math.pi), "free": 0.6133}


@dataclass(frozen=True, slots=True, kw_only=True)
class Vent:
    """One or more equal pipes side by side.

    Attributes
    ----------
    area_m2 : float
        m2 of one; a slot counts as a round pipe of its area.
    count : int
        How many.
    length_m : float or None
        m, as cut, ends not included; None until it is asked for.
    outside, inside : str
        What each end opens into: ``flanged`` in a wall, ``free`` standing in the air.
    """

    area_m2: float
    count: int = 1
    length_m: float | None = None
    outside: End = "flanged"
    inside: End = "free"

    def __post_init__(self) -> None:
        if not 0 < self.area_m2 < math.inf:
            raise DspError("Vent", "area not positive", given=self.area_m2, allowed="above 0 m2")
        if self.count < 1:
            raise DspError("Vent", "no vents", given=self.count, allowed="1 or more")
        if self.length_m is not None and not self.length_m > 0:
            raise DspError("Vent", "length not positive", given=self.length_m, allowed="above 0 m")

    @property
    def total_m2(self) -> float:
        """Area of all together, m2."""
        return self.count * self.area_m2

    @property
    def ends_m(self) -> float:
        """What both ends add to the length, m."""
        radius_m = math.sqrt(self.area_m2 / math.pi)
        return (END_RADII[self.outside] + END_RADII[self.inside]) * radius_m


def effective_length_m(vent: Vent, *, volume_m3: float, tuning_hz: float, air: Air) -> float:
    """Find the length of moving air that tunes a box, ends included.

    Parameters
    ----------
    vent : Vent
        Its area; its length is not asked for.
    volume_m3, tuning_hz : float
        m3, Hz.
    air : Air
        Speed of sound.

    Returns
    -------
    float, m: S c2 / (V w2), a Helmholtz resonator.
    """
    omega = 2 * math.pi * tuning_hz
    return vent.total_m2 * air.speed_m_per_s**2 / (volume_m3 * omega**2)


def cut_for(vent: Vent, *, volume_m3: float, tuning_hz: float, air: Air) -> Vent:
    """Find how long to cut a vent for a tuning.

    Parameters
    ----------
    vent : Vent
        Its area and ends.
    volume_m3, tuning_hz : float
        m3, Hz.
    air : Air
        Speed of sound.

    Returns
    -------
    Vent with its length.

    Raises
    ------
    DspError
        The area is so small that the ends alone tune lower.
    """
    moving_m = effective_length_m(vent, volume_m3=volume_m3, tuning_hz=tuning_hz, air=air)
    length_m = moving_m - vent.ends_m
    if not length_m > 0:
        # Moving length falls with the area, the ends' share only with its root.
        least = vent.area_m2 * (vent.ends_m / moving_m) ** 2
        raise DspError(
            "vent",
            "too small for this tuning, a hole alone tunes lower",
            given=f"{vent.area_m2 * 1e4:.3g} cm2",
            allowed=f"above {least * 1e4:.3g} cm2",
        )
    return replace(vent, length_m=length_m)


def tuned_by(vent: Vent, *, volume_m3: float, air: Air) -> float:
    """Find what a vent of known length tunes a box to.

    Parameters
    ----------
    vent : Vent
        Area, ends and length.
    volume_m3 : float
        m3.
    air : Air
        Speed of sound.

    Returns
    -------
    float, Hz.

    Raises
    ------
    DspError
        The length is not given.
    """
    if vent.length_m is None:
        raise DspError("vent", "length not given")
    moving_m = vent.length_m + vent.ends_m
    return air.speed_m_per_s / (2 * math.pi) * math.sqrt(vent.total_m2 / (volume_m3 * moving_m))
