"""The colour of what repeats: what knocks is dull, what rubs falls off, what buzzes rings high."""

import math

import numpy as np

from dsp.defects.reading import DefectReading
from dsp.number import Number

DULL_HZ, BRIGHT_HZ = (800.0, 1800.0), (1800.0, 3200.0)


def colour(reading: DefectReading) -> Number | None:
    """Compare two bands of the part that repeats, of the tone in which it is strongest.

    Parameters
    ----------
    reading : DefectReading
        Of one take.

    Returns
    -------
    Number in dB, power from 1.8 to 3.2 kHz over that from 0.8 to 1.8 kHz; None where nothing
    repeats, or a band is empty.
    """
    clear = [tone for tone in reading.tones if not tone.sync_peak_db.is_bound]
    loudest = max(clear, key=lambda tone: tone.sync_peak_db.value, default=None)
    if loudest is None:
        return None
    power = np.abs(np.fft.rfft(loudest.sync_pa)) ** 2
    hz = np.arange(power.size) * loudest.frequency_hz
    dull, bright = (
        float(np.sum(power[(hz >= low) & (hz < high)])) for low, high in (DULL_HZ, BRIGHT_HZ)
    )
    if dull <= 0 or bright <= 0:
        return None
    return Number(
        value=10 * math.log10(bright / dull),
        unit="dB",
        how=f"what repeats at {loudest.frequency_hz:g} Hz, 1.8 to 3.2 kHz over 0.8 to 1.8 kHz",
    )
