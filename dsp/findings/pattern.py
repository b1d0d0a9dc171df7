"""The pattern of an irregular defect, as the few numbers by which causes are told apart."""

import math
from collections.abc import Mapping

import numpy as np

from dsp.defects.figure import Figure
from dsp.defects.reading import DefectReading
from dsp.defects.tone_defects import ToneDefects
from dsp.number import Number

HIDDEN = "hidden by noise"
# Hz. What knocks is dull, what rubs falls off evenly, what buzzes rings high.
DULL_HZ, BRIGHT_HZ = (800.0, 1800.0), (1800.0, 3200.0)


def pattern(reading: DefectReading) -> Mapping[str, Number]:
    """Name what findings look at in a reading.

    Parameters
    ----------
    reading : DefectReading
        Of one take.

    Returns
    -------
    mapping of str to Number: ``rub_buzz_db``, ``tone_high_order_db``, ``random_level_db`` (dB re
    the fundamental), ``leak_modulation`` (0 to 1), ``impulse_count`` and, where something
    repeats, ``repeat_colour_db``: power from 1.8 to 3.2 kHz over that from 0.8 to 1.8 kHz of what
    repeats. A figure that noise hides is what it is at most, with that as its reason.
    """
    found = {
        "rub_buzz_db": _number(reading.rub_buzz_db, unit="dB"),
        "tone_high_order_db": _number(reading.high_order_db, unit="dB"),
        "random_level_db": _number(reading.random_rms_db, unit="dB"),
        "leak_modulation": _number(reading.leak_modulation, unit="1"),
        "impulse_count": _number(reading.impulse_count, unit="1"),
    }
    loudest = max(reading.tones, key=lambda tone: tone.sync_peak_db.value, default=None)
    if loudest is not None and not loudest.sync_crest.is_bound:
        found["repeat_colour_db"] = Number(value=_colour_db(loudest), unit="dB")
    return {name: one for name, one in found.items() if not math.isnan(one.value)}


def _number(figure: Figure, *, unit: str) -> Number:
    known = not math.isnan(figure.uncertainty)
    return Number(
        value=figure.value,
        unit=unit,
        uncertainty=figure.uncertainty if known else None,
        reason=HIDDEN if figure.is_bound else "",
    )


def _colour_db(tone: ToneDefects) -> float:
    power = np.abs(np.fft.rfft(tone.sync_pa)) ** 2
    hz = np.arange(power.size) * tone.frequency_hz
    dull, bright = (
        float(np.sum(power[(hz >= low) & (hz < high)])) for low, high in (DULL_HZ, BRIGHT_HZ)
    )
    return 10 * math.log10(bright / dull) if dull > 0 and bright > 0 else math.nan
