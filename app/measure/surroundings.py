"""What stands about the unit: a near microphone's radiator, and a baffle that has an end."""

import numpy as np

from app.procedure.schema import Geometry
from dsp import ValidRange
from dsp.acoustic.air import Air, air
from dsp.acoustic.valid_range import baffle_low_hz
from dsp.near_field.scale import Radiator, far_over_near
from hardware.chain.schema import Ambient

_LOW_HZ = 1.0
NO_AREA = (
    "level: near field, but neither radiator_cm2 nor sd_cm2 is given: referred by 1/r, which does "
    "not hold there"
)


def air_of(ambient: Ambient) -> Air:
    """Return the air of a chain."""
    return air(
        temperature_c=ambient.temperature_c,
        pressure_kpa=ambient.pressure_kpa,
        humidity_percent=ambient.humidity_percent,
    )


def radiator_of(geometry: Geometry) -> Radiator | None:
    """Return what a near microphone stands in front of; None for any other mounting."""
    area_cm2 = geometry.radiator_cm2
    if geometry.mounting != "near_field" or area_cm2 is None:
        return None
    return Radiator(
        area_m2=1e-4 * area_cm2,
        gap_m=geometry.distance_m,
        area_percent=100 * geometry.radiator_uncertainty_cm2 / area_cm2,
        gap_uncertainty_m=geometry.distance_uncertainty_m,
        count=geometry.radiators,
    )


def placed(valid: ValidRange, *, geometry: Geometry, ambient: Ambient) -> ValidRange:
    """Cut a level's span down to where its surroundings let it hold."""
    around = air_of(ambient)
    radiator = radiator_of(geometry)
    if radiator is not None:
        return valid.within(radiator.valid(air=around))
    if geometry.mounting == "baffle" and geometry.baffle_edge_m is not None:
        low_hz = baffle_low_hz(geometry.baffle_edge_m, speed_m_per_s=around.speed_m_per_s)
        baffle = ValidRange(low_hz=low_hz, high_hz=np.inf, low_reason="baffle")
        return valid.within(baffle)
    return valid


def far_over_heard(geometry: Geometry, *, ambient: Ambient, distance_m: float) -> float:
    """Tell what pressure there is at a distance for 1 Pa at the microphone, in the main.

    By 1/r; by the radiator's size where a near microphone's is known, as at low frequencies.
    """
    radiator = radiator_of(geometry)
    if radiator is None:
        return geometry.distance_m / distance_m
    low = np.array([_LOW_HZ])
    ratio = far_over_near(radiator, frequency_hz=low, distance_m=distance_m, air=air_of(ambient))
    return radiator.count * float(np.abs(ratio[0]))
