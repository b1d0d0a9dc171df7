"""What a boxed unit does over frequency, as complex figures that others turn into curves."""

import math
from dataclasses import dataclass

import numpy as np

from dsp.acoustic.air import Air
from dsp.arrays import Complexes, Floats
from dsp.box.drive import Drive
from dsp.box.enclosure import Box
from dsp.box.motion import motion
from dsp.box.unit import BoxUnit

_STEP = 1e-4  # of a frequency; the group delay's error is its square


@dataclass(frozen=True, slots=True, eq=False, kw_only=True)
class Figures:
    """Answers to a drive, rms; (m,) arrays.

    Attributes
    ----------
    pressure : complex
        Pa on the axis in half space, without the way through the air.
    displacement : complex
        m.
    vent_flow : complex or None
        m3/s out of all vents.
    impedance : complex
        ohm.
    group_delay_s : real
        s, of the pressure.
    """

    pressure: Complexes
    displacement: Complexes
    vent_flow: Complexes | None
    impedance: Complexes
    group_delay_s: Floats


def figures(unit: BoxUnit, *, box: Box, air: Air, drive: Drive, frequency_hz: Floats) -> Figures:
    """Answer a drive at every frequency.

    Parameters
    ----------
    unit, box, air, drive : BoxUnit, ClosedBox or VentedBox, Air, Drive
        What is driven, in what, in which air, and how.
    frequency_hz : (m,) array
        Hz, above 0.

    Returns
    -------
    Figures
    """

    def pressure(hz: Floats) -> Complexes:
        moved = motion(unit, box=box, air=air, frequency_hz=hz, source_ohm=drive.source_ohm)
        return _far(moved.total_flow, hz=hz, air=air, drive=drive)

    moved = motion(unit, box=box, air=air, frequency_hz=frequency_hz, source_ohm=drive.source_ohm)
    turned = pressure(frequency_hz * (1 + _STEP)) / pressure(frequency_hz * (1 - _STEP))
    flow = moved.vent_flow
    return Figures(
        pressure=_far(moved.total_flow, hz=frequency_hz, air=air, drive=drive),
        displacement=drive.volts * moved.displacement,
        vent_flow=None if flow is None else drive.volts * flow,
        impedance=moved.impedance,
        group_delay_s=-np.angle(turned) / (4 * math.pi * _STEP * frequency_hz),
    )


def _far(flow: Complexes, *, hz: Floats, air: Air, drive: Drive) -> Complexes:
    spread = air.density_kg_per_m3 / (2 * math.pi * drive.distance_m)
    far: Complexes = np.asarray(2j * np.pi * hz) * spread * drive.volts * flow
    return far
