"""One unit of a production lot: every value a little off, and a trace of friction."""

from dataclasses import replace

import numpy as np

from hardware.virtual.unit import DriveUnit

# Standard deviations of the natural logarithm at a spread of 1: an ordinary lot.
_SD = {
    "re_ohm": 0.010,
    "le_h": 0.020,
    "l2_h": 0.020,
    "r2_ohm": 0.020,
    "bl_tm": 0.015,
    "mms_kg": 0.015,
    "rms_kg_per_s": 0.050,
    "cms_m_per_n": 0.040,
}
_MODE_HZ_SD, _MODE_GAIN_SD = 0.010, 0.05
_FRICTION_N, _FRICTION_SD = 0.001, 0.5
_STREAM = 1  # of the seed; noise has others


def unit_of_lot(unit: DriveUnit, *, spread: float, seed: int) -> DriveUnit:
    """Draw one unit of a lot.

    Parameters
    ----------
    unit : DriveUnit
        What the drawing says.
    spread : float
        0: exactly that; 1: an ordinary lot; more: a bad one.
    seed : int
        Which unit of the lot; the same seed is always the same unit.

    Returns
    -------
    DriveUnit
    """
    if spread == 0:
        return unit
    rng = np.random.default_rng([seed, _STREAM])
    values = {
        name: getattr(unit, name) * float(np.exp(spread * sd * rng.standard_normal()))
        for name, sd in _SD.items()
    }
    modes = tuple(
        replace(
            mode,
            hz=mode.hz * float(np.exp(spread * _MODE_HZ_SD * rng.standard_normal())),
            gain=mode.gain * float(np.exp(spread * _MODE_GAIN_SD * rng.standard_normal())),
        )
        for mode in unit.modes
    )
    rubs = spread * _FRICTION_N * float(np.exp(_FRICTION_SD * rng.standard_normal()))
    return replace(unit, **values, modes=modes, friction_n=unit.friction_n + rubs)


def straightened(unit: DriveUnit) -> DriveUnit:
    """Take everything from a unit that depends on how far it moves.

    Parameters
    ----------
    unit : DriveUnit
        Any.

    Returns
    -------
    DriveUnit, the same at rest.
    """
    return replace(
        unit,
        bl_tilt_per_m=0.0,
        bl_sag_per_m2=0.0,
        stiffness_tilt_per_m=0.0,
        stiffness_rise_per_m2=0.0,
        le_slope_per_m=0.0,
        friction_n=0.0,
    )
