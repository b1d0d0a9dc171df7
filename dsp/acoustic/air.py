"""Speed of sound and density of the air in which it was measured."""

import math
from dataclasses import dataclass

from dsp.errors import DspError

_KELVIN = 273.15


@dataclass(frozen=True, slots=True, kw_only=True)
class Air:
    """What sound travels through.

    Attributes
    ----------
    speed_m_per_s : float
        m/s, speed of sound.
    density_kg_per_m3 : float
        kg/m3.
    """

    speed_m_per_s: float
    density_kg_per_m3: float


def air(
    *, temperature_c: float, pressure_kpa: float, humidity_percent: float, co2_ppm: float = 400.0
) -> Air:
    """Find the properties of moist air.

    Parameters
    ----------
    temperature_c : float
        degrees Celsius, -40 to 60. The source covers 0 to 30; outside it is extrapolated and
        stays within 0.3 % of an ideal gas.
    pressure_kpa : float
        kPa, static, 50 to 110.
    humidity_percent : float
        %, relative, 0 to 100.
    co2_ppm : float
        Mole fraction of carbon dioxide in 1e-6.

    Returns
    -------
    Air

    Raises
    ------
    DspError
        Air outside these ranges.

    Notes
    -----
    Speed: O. Cramer, J. Acoust. Soc. Am. 93 (1993) 2510, doi:10.1121/1.405827. Density: CIPM-2007,
    A. Picard et al., Metrologia 45 (2008) 149, doi:10.1088/0026-1394/45/2/004.
    """
    for name, value, low, high in (
        ("temperature_c", temperature_c, -40, 60),
        ("pressure_kpa", pressure_kpa, 50, 110),
        ("humidity_percent", humidity_percent, 0, 100),
        ("co2_ppm", co2_ppm, 0, 10_000),
    ):
        if not low <= value <= high:
            raise DspError("air", f"{name} outside", given=value, allowed=f"{low} to {high}")
    pascal, wet, co2 = pressure_kpa * 1000, humidity_percent / 100, co2_ppm * 1e-6
    return Air(
        speed_m_per_s=_cramer(temperature_c, pascal, wet=wet, co2=co2),
        density_kg_per_m3=_cipm_2007(temperature_c, pascal, wet=wet, co2=co2),
    )


def _cramer(t: float, p: float, *, wet: float, co2: float) -> float:
    # Equation (15) with the coefficients of table III; h is the mole fraction of vapour.
    kelvin = t + _KELVIN
    saturated = math.exp(
        1.2811805e-5 * kelvin**2 - 1.9509874e-2 * kelvin + 34.04926034 - 6.3536311e3 / kelvin
    )
    h = wet * (1.00062 + 3.14e-8 * p + 5.6e-7 * t**2) * saturated / p
    return (
        (331.5024 + 0.603055 * t - 0.000528 * t**2)
        + (51.471935 + 0.1495874 * t - 0.000782 * t**2) * h
        + (-1.82e-7 + 3.73e-8 * t - 2.93e-10 * t**2) * p
        + (-85.20931 - 0.228525 * t + 5.91e-5 * t**2) * co2
        - 2.835149 * h**2
        - 2.15e-13 * p**2
        + 29.179762 * co2**2
        + 0.000486 * h * p * co2
    )


def _cipm_2007(t: float, p: float, *, wet: float, co2: float) -> float:
    # Equation (1) with the appendix's saturation pressure, enhancement and compressibility.
    kelvin = t + _KELVIN
    saturated = math.exp(
        1.2378847e-5 * kelvin**2 - 1.9121316e-2 * kelvin + 33.93711047 - 6.3431645e3 / kelvin
    )
    h = wet * (1.00062 + 3.14e-8 * p + 5.6e-7 * t**2) * saturated / p
    virial = (
        (1.58123e-6 - 2.9331e-8 * t + 1.1043e-10 * t**2)
        + (5.707e-6 - 2.051e-8 * t) * h
        + (1.9898e-4 - 2.376e-6 * t) * h**2
    )
    compressibility = 1 - p / kelvin * virial + (p / kelvin) ** 2 * (1.83e-11 - 0.765e-8 * h**2)
    molar = (28.96546 + 12.011 * (co2 - 0.0004)) * 1e-3
    return p * molar / (compressibility * 8.314472 * kelvin) * (1 - h * (1 - 0.01801528 / molar))
