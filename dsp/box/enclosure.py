"""The box: a closed one, or one with a vent, each with its losses."""

import math
from dataclasses import dataclass

from dsp.acoustic.air import Air
from dsp.box.vent import Vent, effective_length_m, tuned_by
from dsp.errors import DspError


@dataclass(frozen=True, slots=True, kw_only=True)
class ClosedBox:
    """A box without an opening.

    Attributes
    ----------
    volume_m3 : float
        m3 as the air sees it: without what magnet, braces and crossover take; filling makes it
        seem larger.
    q_leakage, q_absorption : float
        Quality factors of the box at the system's resonance: through leaks, and in the filling.
        Infinite: none. (Small 1972 counts both into the mechanical losses.)
    """

    volume_m3: float
    q_leakage: float = math.inf
    q_absorption: float = math.inf

    def __post_init__(self) -> None:
        _check("ClosedBox", self, names=("volume_m3", "q_leakage", "q_absorption"))


@dataclass(frozen=True, slots=True, kw_only=True)
class VentedBox:
    """A box with one or more equal vents.

    Attributes
    ----------
    volume_m3 : float
        m3 as the air sees it, vents taken off.
    tuning_hz : float
        Hz, resonance of the vents' air on that of the box.
    vent : Vent or None
        What tunes it, where that is known: air speed and pipe resonance follow from it.
    q_leakage, q_absorption, q_vent : float
        Quality factors of the box at its tuning (R. H. Small, J. Audio Eng. Soc. 21 (1973) 363).
        Infinite: no such loss. Leaks decide in most boxes: 5 to 20, for lack of better 7.
    alignment : str
        Family that volume and tuning were chosen by; empty where a person chose them.
    """

    volume_m3: float
    tuning_hz: float
    vent: Vent | None = None
    q_leakage: float = math.inf
    q_absorption: float = math.inf
    q_vent: float = math.inf
    alignment: str = ""

    def __post_init__(self) -> None:
        names = ("volume_m3", "tuning_hz", "q_leakage", "q_absorption", "q_vent")
        _check("VentedBox", self, names=names)


Box = ClosedBox | VentedBox


def with_vent(*, volume_m3: float, vent: Vent, air: Air, q_leakage: float = math.inf) -> VentedBox:
    """Make the box that a vent of known length tunes.

    Parameters
    ----------
    volume_m3 : float
        m3.
    vent : Vent
        Its length included.
    air : Air
        Speed of sound.
    q_leakage : float
        Infinite: none.

    Returns
    -------
    VentedBox

    Raises
    ------
    DspError
        The vent's length is not given.
    """
    tuning_hz = tuned_by(vent, volume_m3=volume_m3, air=air)
    return VentedBox(volume_m3=volume_m3, tuning_hz=tuning_hz, vent=vent, q_leakage=q_leakage)


def pipe_resonance_hz(box: VentedBox, *, air: Air) -> float | None:
    """Tell where the vent's air stops to move as one: its first resonance as an open pipe.

    Parameters
    ----------
    box : VentedBox
        With or without its vent.
    air : Air
        Speed of sound.

    Returns
    -------
    float, Hz, c / (2 L), L with the end corrections; None without a vent.
    """
    if box.vent is None:
        return None
    length_m = effective_length_m(
        box.vent, volume_m3=box.volume_m3, tuning_hz=box.tuning_hz, air=air
    )
    return air.speed_m_per_s / (2 * length_m)


def _check(where: str, box: object, *, names: tuple[str, ...]) -> None:
    for name in names:
        given = getattr(box, name)
        if not given > 0:
            raise DspError(where, f"{name} not positive", given=given, allowed="above 0")
    if not math.isfinite(getattr(box, names[0])):
        raise DspError(where, "volume not finite", given=getattr(box, names[0]))
