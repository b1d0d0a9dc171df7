"""A drive unit as the rig knows it: what it weighs, how stiff, how strong, how it breaks up."""

import math
from dataclasses import dataclass

from hardware.errors import CardRefusedError


@dataclass(frozen=True, slots=True, kw_only=True)
class ConeMode:
    """One resonance of the cone, added to the acceleration that radiates.

    Attributes
    ----------
    hz : float
        Hz, where it rings.
    q : float
        Quality factor.
    gain : float
        What it adds at ``hz`` to the coil's own acceleration; negative: in opposite phase.
    """

    hz: float
    q: float
    gain: float


@dataclass(frozen=True, slots=True, kw_only=True)
class DriveUnit:
    """A moving-coil unit, its small-signal values at rest and how they change with displacement.

    Displacement x is positive outward, and positive voltage on the marked terminal moves the cone
    outward where ``bl_tm`` is positive.

    Attributes
    ----------
    name : str
        As a chain file calls it.
    re_ohm : float
        ohm, voice coil at direct current.
    le_h, l2_h, r2_ohm : float
        H, H, ohm: inductance, and the lossy one, a coil with a resistor across it.
    bl_tm, mms_kg, rms_kg_per_s, cms_m_per_n, sd_m2 : float
        T m, kg with its air load, kg/s, m/N, m2.
    modes : tuple of ConeMode
        Resonances of the cone.
    bl_tilt_per_m, bl_sag_per_m2 : float
        Bl(x) = Bl (1 + tilt x) / (1 + sag x^2), 1/m and 1/m2.
    stiffness_tilt_per_m, stiffness_rise_per_m2 : float
        K(x) = (1 + tilt x + rise x^2) / Cms, 1/m and 1/m2.
    le_slope_per_m, le_span_m : float
        Le(x) = Le (1 + slope x / (1 + (x / span)^2)), 1/m and m.
    friction_n, clearance_m : float
        N and m: friction of a coil that touches, and how far it moves before it does.
    """

    name: str
    re_ohm: float
    le_h: float
    l2_h: float
    r2_ohm: float
    bl_tm: float
    mms_kg: float
    rms_kg_per_s: float
    cms_m_per_n: float
    sd_m2: float
    modes: tuple[ConeMode, ...] = ()
    bl_tilt_per_m: float = 0.0
    bl_sag_per_m2: float = 0.0
    stiffness_tilt_per_m: float = 0.0
    stiffness_rise_per_m2: float = 0.0
    le_slope_per_m: float = 0.0
    le_span_m: float = 5e-3
    friction_n: float = 0.0
    clearance_m: float = 0.25e-3

    @property
    def radius_m(self) -> float:
        """Radius of the piston that has the area ``sd_m2``, m."""
        return math.sqrt(self.sd_m2 / math.pi)


# Invented: a 130 mm, 8 ohm full-range unit for passenger announcements in trams.
T130 = DriveUnit(
    name="T130",
    re_ohm=6.6,
    le_h=0.18e-3,
    l2_h=0.35e-3,
    r2_ohm=2.2,
    bl_tm=5.2,
    mms_kg=7.8e-3,
    rms_kg_per_s=0.9,
    cms_m_per_n=1 / (7.8e-3 * (2 * math.pi * 75.0) ** 2),
    sd_m2=85e-4,
    modes=(
        ConeMode(hz=2900.0, q=6.0, gain=0.35),
        ConeMode(hz=4700.0, q=8.0, gain=-0.45),
        ConeMode(hz=7600.0, q=9.0, gain=0.60),
        ConeMode(hz=12_000.0, q=7.0, gain=0.90),
    ),
    bl_tilt_per_m=10.0,
    bl_sag_per_m2=1.2e4,
    stiffness_tilt_per_m=-25.0,
    stiffness_rise_per_m2=4e4,
    le_slope_per_m=-32.0,
)

UNITS = {unit.name: unit for unit in (T130,)}


def find_unit(name: str) -> DriveUnit:
    """Find a unit that ships with the rig.

    Parameters
    ----------
    name : str
        As the chain file's ``[virtual] unit``.

    Returns
    -------
    DriveUnit

    Raises
    ------
    CardRefusedError
        No such unit.
    """
    if name not in UNITS:
        allowed = ", ".join(UNITS)
        raise CardRefusedError(f"virtual.unit: no such unit: given {name}, allowed {allowed}")
    return UNITS[name]
