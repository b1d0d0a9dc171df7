"""Figures of units as their closed form gives them, without a recording."""

import math

import numpy as np

from app.measure.likes import Like
from app.procedure.names import NUMBERS
from dsp import Curve, Number, ValidRange
from hardware.virtual.unit import DriveUnit

_HZ = np.geomspace(20.0, 20_000.0, 400)
_WHOLE = ValidRange(low_hz=20.0, high_hz=20_000.0)


def like(unit: DriveUnit, *, polarity: float = 1.0, level_valid: ValidRange = _WHOLE) -> Like:
    """Return what a perfect take would derive: R. H. Small, J. Audio Eng. Soc. 20 (1972) 383."""
    angular = 1 / math.sqrt(unit.mms_kg * unit.cms_m_per_n)
    # Above the resonance: pressure for a voltage, half space, 1 m, up to a constant.
    pressure = abs(unit.bl_tm) / (unit.re_ohm * unit.mms_kg)
    values = {
        "fs_hz": angular / (2 * math.pi),
        "qms": angular * unit.mms_kg / unit.rms_kg_per_s,
        "qes": angular * unit.mms_kg * unit.re_ohm / unit.bl_tm**2,
        "re_ohm": unit.re_ohm,
        "le_mh": 1e3 * unit.le_h,
        "sensitivity_db": 20 * math.log10(pressure),
        "polarity": polarity,
    }
    flat = np.ones(_HZ.size)
    return Like(
        numbers={name: Number(value=v, unit=NUMBERS[name]) for name, v in values.items()},
        curves={
            "level": Curve(
                frequency_hz=_HZ,
                value=values["sensitivity_db"] * flat,
                unit="dB SPL",
                valid=level_valid,
            ),
            "impedance": Curve(
                frequency_hz=_HZ, value=1.2 * unit.re_ohm * flat, unit="ohm", valid=_WHOLE
            ),
        },
    )
