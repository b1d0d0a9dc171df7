"""From the severities of a chain file to a unit that has these faults."""

from dataclasses import dataclass, replace

from hardware.chain.virtual_schema import Faults
from hardware.virtual.defects import Defects
from hardware.virtual.unit import DriveUnit

# What severity 1 means. Flux and mass: a fault of 0.2 takes or adds a tenth.
_FLUX_LOST = 0.5
_STIFFNESS_CHANGED = 1.0
_MASS_CHANGED = 0.5
_DAMPING_BY_LEAK = 0.5
_FRICTION_N = 0.3


@dataclass(frozen=True, slots=True, kw_only=True)
class FaultyUnit:
    """A unit with its faults: what moves otherwise, and what sounds along."""

    unit: DriveUnit
    defects: Defects


def with_faults(unit: DriveUnit, *, faults: Faults) -> FaultyUnit:
    """Give a unit its faults.

    Weak magnet: Bl x (1 - 0.5 s). Stiff suspension: stiffness x (1 + s); soft: / (1 + s). Wrong
    mass: x (1 + 0.5 s). Wiring reversed: Bl x -1. Coil rub: friction of s x 0.3 N beyond the
    clearance. Air leak: mechanical losses x (1 + 0.5 s), and hiss. The rest is heard only.

    Parameters
    ----------
    unit : DriveUnit
        A good one.
    faults : Faults
        Severities s.

    Returns
    -------
    FaultyUnit
    """
    stiffness = 1 + _STIFFNESS_CHANGED * faults.stiff_suspension
    stiffness /= 1 + _STIFFNESS_CHANGED * faults.soft_suspension
    sign = -1 if faults.wiring_reversed else 1
    changed = replace(
        unit,
        bl_tm=sign * unit.bl_tm * (1 - _FLUX_LOST * faults.weak_magnet),
        cms_m_per_n=unit.cms_m_per_n / stiffness,
        mms_kg=unit.mms_kg * (1 + _MASS_CHANGED * faults.wrong_mass),
        rms_kg_per_s=unit.rms_kg_per_s * (1 + _DAMPING_BY_LEAK * faults.air_leak),
        friction_n=unit.friction_n + _FRICTION_N * faults.coil_rub,
    )
    heard = Defects(
        loose_joint=faults.loose_joint,
        lead_slap=faults.lead_slap,
        particle=faults.particle,
        air_leak=faults.air_leak,
    )
    return FaultyUnit(unit=changed, defects=heard)
