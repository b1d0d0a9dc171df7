"""The level that an instrument gives in the air of the day, and how sure it is."""

import math
from dataclasses import dataclass

from dsp.acoustic.level import DB_PER_NEPER
from dsp.calibration.budget import BudgetLine, stated
from dsp.calibration.conditions import (
    REFERENCE_HUMIDITY_PERCENT,
    REFERENCE_PRESSURE_KPA,
    REFERENCE_TEMPERATURE_C,
    Conditions,
)
from dsp.calibration.instrument import Instrument, LoadVolume


@dataclass(frozen=True, slots=True, kw_only=True)
class SoundLevel:
    """What arrives at the microphone.

    Attributes
    ----------
    level_db : float
        dB re 20 µPa, corrections applied.
    corrections_db : dict of str to float
        dB, by name, those that apply; added to what the instrument is said to give.
    lines : tuple of BudgetLine
        For the sensitivity in dB, which falls as the level rises.
    """

    level_db: float
    corrections_db: dict[str, float]
    lines: tuple[BudgetLine, ...]


def pressure_correction_db(pressure_kpa: float) -> float:
    """Tell by how much a pistonphone is louder than at 101.325 kPa.

    The pistons change the volume by a fixed part, and the sound pressure is that part of the
    static pressure, times the ratio of specific heats.

    Parameters
    ----------
    pressure_kpa : float
        kPa, above 0.

    Returns
    -------
    float, dB; below 0 on a mountain.
    """
    return 20 * math.log10(pressure_kpa / REFERENCE_PRESSURE_KPA)


def load_correction_db(load: LoadVolume) -> float:
    """Tell by how much a pistonphone is louder for a microphone of another volume.

    The same movement of the pistons in less air is more pressure (Boyle).

    Parameters
    ----------
    load : LoadVolume
        The cavity and what is put into it.

    Returns
    -------
    float, dB; above 0 for a microphone that leaves less air than the stated one.
    """
    return 20 * math.log10(
        (load.cavity_cm3 + load.stated_cm3) / (load.cavity_cm3 + load.microphone_cm3)
    )


def sound_level(instrument: Instrument, *, conditions: Conditions) -> SoundLevel:
    """Correct what an instrument is said to give for where it is.

    Parameters
    ----------
    instrument : Instrument
        With the coefficients of its certificate.
    conditions : Conditions
        The air.

    Returns
    -------
    SoundLevel
    """
    corrections: dict[str, float] = {}
    lines = [
        stated(
            "instrument",
            standard=instrument.level_standard_uncertainty_db,
            unit="dB",
            sensitivity=-1.0,
        )
    ]
    if instrument.follows_pressure:
        corrections["static pressure"] = pressure_correction_db(conditions.pressure_kpa)
        slope = DB_PER_NEPER / conditions.pressure_kpa
        lines.append(
            stated(
                "static pressure",
                standard=conditions.pressure_uncertainty_kpa / 2,
                unit="kPa",
                sensitivity=-slope,
            )
        )
    if instrument.load is not None:
        corrections["load volume"] = load_correction_db(instrument.load)
        slope = DB_PER_NEPER / (instrument.load.cavity_cm3 + instrument.load.microphone_cm3)
        lines.append(
            stated(
                "load volume",
                standard=instrument.load.microphone_uncertainty_cm3 / 2,
                unit="cm³",
                sensitivity=slope,
            )
        )
    for name, slope, away, half, unit in (
        (
            "temperature",
            instrument.temperature_db_per_c,
            conditions.temperature_c - REFERENCE_TEMPERATURE_C,
            conditions.temperature_uncertainty_c / 2,
            "°C",
        ),
        (
            "humidity",
            instrument.humidity_db_per_percent,
            conditions.humidity_percent - REFERENCE_HUMIDITY_PERCENT,
            conditions.humidity_uncertainty_percent / 2,
            "%",
        ),
    ):
        if slope:
            corrections[name] = slope * away
            lines.append(stated(name, standard=half, unit=unit, sensitivity=-slope))
    return SoundLevel(
        level_db=instrument.level_db + sum(corrections.values()),
        corrections_db=corrections,
        lines=tuple(lines),
    )
