"""What people call each quantity, in which unit it is shown, and in which order."""

import re
from collections.abc import Mapping
from dataclasses import dataclass

from app.report.units import short_unit


@dataclass(frozen=True, slots=True, kw_only=True)
class ShownAs:
    """How a number is shown.

    Attributes
    ----------
    name : str
        As people say it.
    unit : str
        What stands beside it; empty for a plain number.
    scale : float
        From the unit of the record to the one that is shown.
    """

    name: str
    unit: str = ""
    scale: float = 1.0


# In the order in which they are read: the unit as a source of sound, its small-signal parameters,
# what is wrong with it, and what the measurement itself stood on.
NUMBERS: Mapping[str, ShownAs] = {
    "sensitivity_db": ShownAs(name="sensitivity", unit="dB"),
    "polarity": ShownAs(name="polarity"),
    "fs_hz": ShownAs(name="resonance", unit="Hz"),
    "re_ohm": ShownAs(name="Re", unit="Ω"),
    "qms": ShownAs(name="Qms"),
    "qes": ShownAs(name="Qes"),
    "qts": ShownAs(name="Qts"),
    "vas_l": ShownAs(name="Vas", unit="l"),
    "mms_g": ShownAs(name="Mms", unit="g"),
    "mmd_g": ShownAs(name="Mmd", unit="g"),
    "cms_mm_per_n": ShownAs(name="Cms", unit="mm/N"),
    "rms_kg_per_s": ShownAs(name="Rms", unit="kg/s"),
    "bl_tm": ShownAs(name="Bl", unit="T·m"),
    "sd_cm2": ShownAs(name="Sd", unit="cm²"),
    "le_mh": ShownAs(name="Le", unit="mH"),
    "eta0_percent": ShownAs(name="efficiency", unit="%"),
    "reference_1w_db": ShownAs(name="level, 1 W", unit="dB"),
    "reference_2v83_db": ShownAs(name="level, 2.83 V", unit="dB"),
    "modulation_second_percent": ShownAs(name="modulation, 2nd", unit="%"),
    "modulation_third_percent": ShownAs(name="modulation, 3rd", unit="%"),
    "modulation_percent": ShownAs(name="modulation", unit="%"),
    "difference_second_percent": ShownAs(name="difference frequency, 2nd", unit="%"),
    "difference_third_percent": ShownAs(name="difference frequency, 3rd", unit="%"),
    "multitone_percent": ShownAs(name="multitone distortion", unit="%"),
    "rub_buzz_db": ShownAs(name="rub and buzz", unit="dB"),
    "rub_buzz_high_order_db": ShownAs(name="rub, orders 10 to 15", unit="dB"),
    "rub_buzz_colour_db": ShownAs(name="colour of the rub", unit="dB"),
    "rub_buzz_crest": ShownAs(name="crest of the rub"),
    "random_noise_db": ShownAs(name="random noise", unit="dB"),
    "random_peak_db": ShownAs(name="random peak", unit="dB"),
    "noise_modulation": ShownAs(name="noise modulation"),
    "impulse_count": ShownAs(name="particles"),
    "audible_excess_db": ShownAs(name="audible excess", unit="dB"),
    "delay_s": ShownAs(name="delay", unit="ms", scale=1e3),
    "offset_db": ShownAs(name="near field raised by", unit="dB"),
    "lag_s": ShownAs(name="near field late by", unit="ms", scale=1e3),
    "left_db": ShownAs(name="left in the crossover", unit="dB"),
    "crossover_low_hz": ShownAs(name="crossover from", unit="Hz"),
    "crossover_high_hz": ShownAs(name="crossover to", unit="Hz"),
    "clock_offset_ppm": ShownAs(name="clock offset", unit="ppm"),
}

# As heads and rows of tables call them; others by the name that they have in files.
QUANTITIES: Mapping[str, str] = {
    "level": "level",
    "level_phase": "phase",
    "impedance": "impedance",
    "impedance_phase": "impedance phase",
    "thd": "THD",
    "high_order": "high order",
    "noise": "noise",
    "rub_buzz": "rub and buzz of the tones",
    "residual": "residual",
    "residual_peak": "residual’s peak",
    "residual_crest": "residual’s crest",
    "audible_excess": "audible excess",
    **{f"h{order}": f"H{order}" for order in range(2, 21)},
    **{f"h{order}_input": f"H{order} at the input" for order in range(2, 21)},
    "thd_input": "THD at the input",
    "high_order_input": "high order at the input",
    "multitone_distortion": "multitone distortion",
}

_INPUTS = {
    "input.pressure": "the microphone’s input",
    "input.sense": "the sense resistor’s input",
    "input.terminal": "the terminals’ input",
    "input.loopback": "the loopback’s input",
    "output.drive": "the output",
}
_IN_FILES = re.compile(
    "|".join(rf"\b{name}\b" for name in sorted({*NUMBERS, *QUANTITIES}, key=len, reverse=True))
)


def number_as(name: str, *, unit: str = "") -> ShownAs:
    """Return how a number is shown; one that this page does not know keeps name and unit."""
    return NUMBERS.get(name) or ShownAs(name=name.replace("_", " "), unit=short_unit(unit))


def plain_reason(reason: str) -> str:
    """Return a reason with what people call quantities and inputs in place of names in files."""
    for name, called in _INPUTS.items():
        reason = reason.replace(name, called)
    return _IN_FILES.sub(lambda found: quantity_name(found.group()), reason)


def quantity_name(name: str) -> str:
    """Return what a curve or a number is called."""
    return QUANTITIES.get(name) or number_as(name).name
