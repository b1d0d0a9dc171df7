"""From the coil's acceleration to the pressure on the axis of an infinite baffle."""

import math

import numpy as np

from dsp import Complexes, Floats
from dsp.acoustic.air import Air
from hardware.virtual.unit import DriveUnit


def cone(unit: DriveUnit, *, frequency_hz: Floats) -> Complexes:
    """Tell how much the cone accelerates for the coil's acceleration.

    Each mode is a resonator that lets its own frequency pass: it adds its gain there, and next to
    nothing far away.

    Parameters
    ----------
    unit : DriveUnit
        With its modes.
    frequency_hz : (m,) array
        Hz, from 0.

    Returns
    -------
    (m,) complex array, 1 at 0 Hz.
    """
    total = np.ones(frequency_hz.shape, dtype=np.complex128)
    for mode in unit.modes:
        place = frequency_hz / mode.hz
        total += mode.gain * 1j * place / (mode.q * (1 - place**2) + 1j * place)
    return total


def radiation(unit: DriveUnit, *, frequency_hz: Floats, distance_m: float, air: Air) -> Complexes:
    """Find the pressure on the axis for the coil's acceleration, in half space.

    A rigid piston on its axis in closed form, exact at any distance: the sound of its centre less
    that of its rim, rho c v (e^(-jkr) - e^(-jkR)), R the way from the rim (L. E. Kinsler et al.,
    Fundamentals of Acoustics, on the axial response of a plane circular piston). Far away this is
    rho Sd / (2 pi r) times the acceleration, near the cone it levels off.

    Parameters
    ----------
    unit : DriveUnit
        Its area and its modes.
    frequency_hz : (m,) array
        Hz, from 0.
    distance_m : float
        m from the cone.
    air : Air
        What sound travels through.

    Returns
    -------
    (m,) complex array, Pa s2/m, the way through the air included.
    """
    rim_m = math.hypot(distance_m, unit.radius_m)
    # The difference of two close delays as one sine, so that nothing cancels at low frequencies.
    further_m = unit.radius_m**2 / (rim_m + distance_m)
    size = air.density_kg_per_m3 * further_m * np.sinc(frequency_hz * further_m / air.speed_m_per_s)
    way_s = (rim_m + distance_m) / (2 * air.speed_m_per_s)
    pressure: Complexes = (
        size * np.exp(-2j * np.pi * frequency_hz * way_s) * cone(unit, frequency_hz=frequency_hz)
    )
    return pressure


def defect_radiation(
    unit: DriveUnit, *, frequency_hz: Floats, distance_m: float, air: Air
) -> Complexes:
    """Find what 1 Pa at 1 m of rattle or hiss becomes at the microphone.

    Parameters
    ----------
    unit : DriveUnit
        Its area: close to the cone the level stops rising.
    frequency_hz : (m,) array
        Hz.
    distance_m : float
        m from the cone.
    air : Air
        What sound travels through.

    Returns
    -------
    (m,) complex array, the way through the air included.
    """
    way_s = distance_m / air.speed_m_per_s
    pressure: Complexes = np.exp(-2j * np.pi * frequency_hz * way_s)
    return pressure / math.hypot(distance_m, unit.radius_m)
