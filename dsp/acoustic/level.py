"""Sound pressure level referred to a stated voltage across the terminals and a stated distance."""

import math

import numpy as np

from dsp.arrays import Floats
from dsp.curve import Curve, ValidRange
from dsp.errors import DspError
from dsp.response.harmonics import Harmonics
from dsp.response.same_points import check_same_points

REFERENCE_PA = 20e-6  # ISO 1683
UNIT = "dB re 20 µPa"
DB_PER_NEPER = 20 / math.log(10)


def level(
    pressure: Harmonics,
    *,
    voltage: Harmonics,
    reference_v: float,
    distance_m: float,
    reference_distance_m: float,
    valid: ValidRange,
    chain_db: Floats | float = 0.0,
) -> Curve:
    """Refer the fundamental of the pressure to the voltage and the distance of the procedure.

    Parameters
    ----------
    pressure : Harmonics
        Pa, microphone corrected.
    voltage : Harmonics
        V across the unit, at the same frequencies.
    reference_v : float
        V rms across the terminals, exactly, that the level is stated for.
    distance_m, reference_distance_m : float
        m; where the microphone stood, and what the level is referred to by 1/r.
    valid : ValidRange
        Where it may be believed.
    chain_db : (m,) array or float
        dB, standard uncertainty that the links' calibrations and the distance bring, common to
        all points.

    Returns
    -------
    Curve in dB re 20 µPa, uncertainty expanded, k = 2: noise of both channels, independent, and
    ``chain_db``, added in power (JCGM 100:2008, 5.1.2).

    Raises
    ------
    DspError
        Points that differ, or a reference that is not positive.
    """
    for name, given in (
        ("reference_v", reference_v),
        ("distance_m", distance_m),
        ("reference_distance_m", reference_distance_m),
    ):
        if not 0 < given < math.inf:
            raise DspError("level", f"{name} not positive", given=given, allowed="above 0")
    check_same_points("level", first=pressure, second=voltage)
    factor = reference_v * distance_m / (reference_distance_m * REFERENCE_PA)
    with np.errstate(divide="ignore", invalid="ignore"):  # a dead channel: -inf or NaN, not a stop
        value = 20 * np.log10(np.abs(pressure.fundamental / voltage.fundamental) * factor)
    noise_db = DB_PER_NEPER * ratio_noise(pressure, voltage=voltage)
    return Curve(
        frequency_hz=pressure.frequency_hz,
        value=value,
        unit=UNIT,
        valid=valid,
        uncertainty=2 * np.hypot(noise_db, chain_db),
        how=f"at {reference_distance_m:g} m for {reference_v:.4g} V across the terminals",
    )


def ratio_noise(pressure: Harmonics, *, voltage: Harmonics) -> Floats:
    """Find the standard deviation that noise gives to the logarithm of pressure over voltage.

    Parameters
    ----------
    pressure, voltage : Harmonics
        At the same frequencies.

    Returns
    -------
    (m,) array: relative for the magnitude, and equally rad for the phase.
    """
    with np.errstate(divide="ignore", invalid="ignore"):
        relative: Floats = np.hypot(
            pressure.noise[0] / np.abs(pressure.fundamental),
            voltage.noise[0] / np.abs(voltage.fundamental),
        )
    return relative
