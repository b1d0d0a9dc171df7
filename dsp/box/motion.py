"""The circuit of a unit in its box: what moves for one volt, as complex numbers over frequency."""

import math
from dataclasses import dataclass

import numpy as np

from dsp.acoustic.air import Air
from dsp.arrays import Complexes, Floats, read_only
from dsp.box.enclosure import Box, ClosedBox
from dsp.box.unit import BoxUnit, mechanics


@dataclass(frozen=True, slots=True, eq=False, kw_only=True)
class Motion:
    """What one volt of the source does.

    Attributes
    ----------
    frequency_hz : (m,) array
        Hz.
    displacement : (m,) complex array
        m/V, outward positive.
    vent_flow : (m,) complex array or None
        m3/(s V), out of all vents together; None for a closed box.
    total_flow : (m,) complex array
        m3/(s V): diaphragm, vents and leaks, as far away hears them.
    impedance : (m,) complex array
        ohm, at the unit's terminals.
    """

    frequency_hz: Floats
    displacement: Complexes
    vent_flow: Complexes | None
    total_flow: Complexes
    impedance: Complexes

    def __post_init__(self) -> None:
        for name in ("frequency_hz", "displacement", "vent_flow", "total_flow", "impedance"):
            if (array := getattr(self, name)) is not None:
                object.__setattr__(self, name, read_only(array))


def motion(
    unit: BoxUnit, *, box: Box, air: Air, frequency_hz: Floats, source_ohm: float = 0.0
) -> Motion:
    """Solve the circuit.

    Parameters
    ----------
    unit : BoxUnit
        Its parameters.
    box : ClosedBox or VentedBox
        What it is mounted in.
    air : Air
        Density and speed of sound.
    frequency_hz : (m,) array
        Hz, above 0.
    source_ohm : float
        ohm of amplifier and leads, in series.

    Returns
    -------
    Motion, per volt of the source.

    Notes
    -----
    Acoustic circuit of R. H. Small: closed box J. Audio Eng. Soc. 20 (1972) 798, vented box 21
    (1973) 316 and 363. What flows into the box's compliance is what all openings together give to
    the room.
    """
    s = np.asarray(2j * np.pi * frequency_hz)
    moving, inside = mechanics(unit, air=air), _inside(unit, box=box, air=air, s=s)
    around = inside.compliance + inside.leak + inside.vent  # m3/(s Pa)
    # All is multiplied by that admittance: at its tuning a box without losses has none, and the
    # diaphragm stands still.
    free = moving.rms_kg_per_s + s * moving.mms_kg + 1 / (s * moving.cms_m_per_n)
    held = free * around + unit.sd_m2**2
    coil = unit.coil_ohm(frequency_hz)
    per_volt = moving.bl_tm / ((coil + source_ohm) * held + moving.bl_tm**2 * around)
    # The diaphragm going out thins the air behind it: the vent's air goes in meanwhile.
    pushed = -unit.sd_m2 * per_volt  # Pa in the box
    return Motion(
        frequency_hz=frequency_hz,
        displacement=per_volt * around / s,
        vent_flow=None if isinstance(box, ClosedBox) else pushed * inside.vent,
        total_flow=-pushed * inside.compliance,
        impedance=coil + moving.bl_tm**2 * around / held,
    )


@dataclass(frozen=True, slots=True, eq=False)
class _Inside:
    # Acoustic admittances, m3/(s Pa), (m,) each.
    compliance: Complexes
    leak: float
    vent: Complexes | float


def _inside(unit: BoxUnit, *, box: Box, air: Air, s: Complexes) -> _Inside:
    compliance = box.volume_m3 / (air.density_kg_per_m3 * air.speed_m_per_s**2)
    if isinstance(box, ClosedBox):
        omega = 2 * math.pi * unit.fs_hz * math.sqrt(1 + unit.vas_m3 / box.volume_m3)
    else:
        omega = 2 * math.pi * box.tuning_hz
    reactance = 1 / (omega * compliance)  # of the box at the frequency that its losses are for
    in_filling = reactance / box.q_absorption
    vent: Complexes | float = 0.0
    if not isinstance(box, ClosedBox):
        vent = 1 / (s * reactance / omega + reactance / box.q_vent)
    return _Inside(
        compliance=1 / (1 / (s * compliance) + in_filling),
        leak=1 / (reactance * box.q_leakage),
        vent=vent,
    )
