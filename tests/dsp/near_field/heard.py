"""A baffled piston in closed form, heard near and far: what scaling and merging have to find."""

from dataclasses import replace

import numpy as np

from dsp import Complexes, Floats, ValidRange
from dsp.acoustic.air import Air
from dsp.near_field.response import Response
from dsp.near_field.scale import Radiator, far_level, moved_out

AIR = Air(speed_m_per_s=343.0, density_kg_per_m3=1.2)
EVERYWHERE = ValidRange(low_hz=1.0, high_hz=24_000.0)


def on_axis(hz: Floats, *, radius_m: float, distance_m: float) -> Complexes:
    """Pa for a volume acceleration of 1 m3/s2, rigid piston in an infinite baffle.

    rho c u (e^(-jkr) - e^(-jkR)), R from the rim (Kinsler and Frey, Fundamentals of Acoustics).
    """
    k = 2 * np.pi * hz / AIR.speed_m_per_s
    rim_m = np.hypot(distance_m, radius_m)
    speed = 1 / (np.pi * radius_m**2 * 2j * np.pi * hz)
    rho_c = AIR.density_kg_per_m3 * AIR.speed_m_per_s
    return np.asarray(rho_c * speed * (np.exp(-1j * k * distance_m) - np.exp(-1j * k * rim_m)))


def far_off(hz: Floats, *, distance_m: float = 1.0) -> Complexes:
    """Pa for the same, by 1/r."""
    late = np.exp(-2j * np.pi * hz * distance_m / AIR.speed_m_per_s)
    return np.asarray(AIR.density_kg_per_m3 / (2 * np.pi * distance_m) * late)


def heard(
    hz: Floats,
    pressure: Complexes,
    *,
    delay_s: float = 0.0,
    level_db: float = 0.0,
    phase_deg: float = 0.0,
    valid: ValidRange = EVERYWHERE,
) -> Response:
    return Response(
        frequency_hz=hz,
        pressure=pressure,
        delay_s=delay_s,
        level_db=np.full(hz.size, level_db),
        phase_deg=np.full(hz.size, phase_deg),
        valid=valid,
    )


def high_pass(hz: Floats, *, corner_hz: float = 60.0, q: float = 0.8) -> Complexes:
    """Volume acceleration of a closed box, m3/s2."""
    x = 1j * hz / corner_hz
    return np.asarray(x**2 / (1 + x / q + x**2))


def scaled(near: Response, *, radiator: Radiator, distance_m: float, air: Air) -> Response:
    """Carry a near field to the far field: its level as a take does, its delay as a merge does."""
    level = near.level()
    far = far_level(level, radiator=radiator, distance_m=distance_m, air=air)
    assert far.uncertainty is not None
    louder = replace(
        near,
        pressure=near.pressure * 10 ** ((far.value - level.value) / 20),
        level_db=far.uncertainty / 2,
        valid=far.valid,
    )
    return moved_out(louder, radiator=radiator, distance_m=distance_m, air=air)
