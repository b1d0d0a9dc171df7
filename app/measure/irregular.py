"""Irregular defects of a capture: rub and buzz, what does not repeat, impulses, modulated noise."""

import math
from dataclasses import replace

import numpy as np

from app.measure.distortion import ratio_uncertainty_db
from app.measure.found import Found
from app.measure.scene import Scene
from dsp import Curve, Number, ValidRange
from dsp.acoustic.microphone import (
    MicrophoneResponse,
    correct_microphone,
    correct_noise,
    correct_samples,
    correct_spectrum,
)
from dsp.defects.colour import colour
from dsp.defects.figure import Figure
from dsp.defects.read_defects import read_defects, tones_to_read
from dsp.defects.reading import DefectReading
from dsp.defects.sweep_defects import SweepDefects
from dsp.defects.sweep_residual import SweepRest
from dsp.excitation.excitation import Excitation
from dsp.response.quiet_noise import QuietNoise
from dsp.response.recording import Recording

# Where a curve holds that stands on a fundamental which was not heard.
NOT_HEARD = ValidRange(
    low_hz=math.inf, high_hz=0.0, low_reason="no fundamental", high_reason="no fundamental"
)
_HOW = {
    "rub_buzz_db": "repeating residual, peak re fundamental",
    "rub_buzz_high_order_db": "orders 10 to 15 of what repeats, re fundamental",
    "random_noise_db": "what does not repeat, rms re fundamental",
    "random_peak_db": "what does not repeat, peak re fundamental",
    "noise_modulation": "power of what does not repeat, by how much it follows the stroke",
}


def read_irregular(
    recording: Recording,
    *,
    rest: SweepRest | None,
    excitation: Excitation,
    noise: QuietNoise | None = None,
    response: MicrophoneResponse | None = None,
) -> DefectReading | None:
    """Look for irregular defects where a microphone heard a sweep or tones that are long enough.

    Its own response is taken out first: a residual lies far above the frequency that it is
    related to.
    """
    pressure = recording.pressure_pa
    if pressure is None or (rest is None and not tones_to_read(excitation)):
        return None
    if response is not None:
        rate_hz = recording.sample_rate_hz
        pressure = correct_samples(pressure, sample_rate_hz=rate_hz, response=response)
        noise = correct_noise(noise, response=response) if noise else None
        if rest is not None:
            bin_hz = rate_hz / rest.plan.size
            rest = SweepRest(
                spectrum=correct_spectrum(rest.spectrum, bin_hz=bin_hz, response=response),
                pressure=correct_microphone(rest.pressure, response=response),
                plan=rest.plan,
            )
    return read_defects(
        pressure, excitation=excitation, ambient=recording.ambient_pa, rest=rest, noise=noise
    )


def irregular(scene: Scene) -> Found:
    """State what was found, each figure over all tones, and the residual of a sweep."""
    if scene.defects is None:
        return Found()
    return told(scene.defects, ratio_db=ratio_uncertainty_db(scene))


def told(reading: DefectReading, *, ratio_db: float) -> Found:
    """State a reading.

    Parameters
    ----------
    reading : DefectReading
        Of a take.
    ratio_db : float
        dB, k = 2: what the chain leaves open between one frequency and another.

    Returns
    -------
    Found
    """
    curves = _of_tones(reading, db=ratio_db)
    if reading.sweep:
        curves |= _of_sweep(reading.sweep, db=ratio_db)
    numbers = _numbers(reading, db=ratio_db)
    if reading.unheard:
        numbers = {name: replace(one, reason=reading.unheard) for name, one in numbers.items()}
        curves = {name: replace(one, valid=NOT_HEARD) for name, one in curves.items()}
    return Found(numbers=numbers, curves=curves, warnings=_warnings(reading))


def _numbers(reading: DefectReading, *, db: float) -> dict[str, Number]:
    figures = {
        "rub_buzz_db": reading.rub_buzz_db,
        "rub_buzz_high_order_db": reading.high_order_db,
        "random_noise_db": reading.random_rms_db,
        "random_peak_db": reading.random_peak_db,
    }
    numbers = {
        name: _number(figure, unit="dB", more=db, how=_how(name, reading))
        for name, figure in figures.items()
        if math.isfinite(figure.value)
    }
    if not reading.sync_crest.is_bound:
        how = "peak over rms of what repeats"
        numbers["rub_buzz_crest"] = _number(reading.sync_crest, unit="1", more=0.0, how=how)
    if (tint := colour(reading)) is not None:
        numbers["rub_buzz_colour_db"] = tint
    if math.isfinite(reading.leak_modulation.value):
        numbers["noise_modulation"] = _number(
            reading.leak_modulation, unit="1", more=0.0, how=_HOW["noise_modulation"]
        )
    if math.isfinite(reading.impulse_count.value):
        numbers["impulse_count"] = _number(
            reading.impulse_count, unit="1", more=0.0, how="clicks that do not repeat"
        )
    return numbers


def _how(name: str, reading: DefectReading) -> str:
    if not reading.tones:
        return "residual of the sweep, rms re fundamental, largest over frequency"
    hz = ", ".join(f"{tone.frequency_hz:g}" for tone in reading.tones)
    return f"{_HOW[name]}, largest of {hz} Hz"


def _number(figure: Figure, *, unit: str, more: float, how: str) -> Number:
    if figure.is_bound:
        how = f"{how}; noise hides it"
    return Number(
        value=figure.value,
        unit=unit,
        uncertainty=None if figure.is_bound else math.hypot(figure.uncertainty, more),
        how=how,
        is_bound=figure.is_bound,
    )


def _of_tones(reading: DefectReading, *, db: float) -> dict[str, Curve]:
    found: dict[float, Figure] = {}
    for tone in reading.tones:
        # Of a tone that was played twice what is heard counts, and the most of it.
        one, other = tone.sync_peak_db, found.get(tone.frequency_hz)
        if other is None or (other.is_bound, one.value) > (one.is_bound, other.value):
            found[tone.frequency_hz] = one
    if not found:
        return {}
    hz = sorted(found)
    curve = Curve(
        frequency_hz=np.array(hz),
        value=np.array([found[one].value for one in hz]),
        unit="dB",
        valid=ValidRange(low_hz=hz[0], high_hz=hz[-1]),
        uncertainty=np.hypot([found[one].uncertainty for one in hz], db),
        is_bound=np.array([found[one].is_bound for one in hz]),
        how=f"{_HOW['rub_buzz_db']}; bounds where noise hides it",
    )
    return {"rub_buzz": curve}


def _of_sweep(sweep: SweepDefects, *, db: float) -> dict[str, Curve]:
    hz = sweep.frequency_hz
    valid = ValidRange(
        low_hz=float(hz[0]),
        high_hz=float(hz[-1]),
        high_reason="order 10 leaves the band" if sweep.segment.stop_hz > hz[-1] else "excitation",
    )
    how = "residual without H1 to H9, 0.8 to 15 kHz, re fundamental"
    uncertainty = np.where(sweep.is_bound, np.nan, np.hypot(sweep.level_uncertainty_db, db))
    return {
        "residual": Curve(
            frequency_hz=hz,
            value=sweep.level_db,
            unit="dB",
            valid=valid,
            uncertainty=uncertainty,
            is_bound=sweep.is_bound,
            how=f"{how}, rms; bounds where noise hides it",
        ),
        "residual_peak": Curve(
            frequency_hz=hz,
            value=sweep.peak_db,
            unit="dB",
            valid=valid,
            is_bound=sweep.is_bound,
            how=f"{how}, peak; bounds where noise hides it",
        ),
        "residual_crest": Curve(
            frequency_hz=hz,
            value=np.where(sweep.is_bound, np.nan, sweep.crest),
            unit="1",
            valid=valid,
            how="peak over rms of the residual; none where noise hides it",
        ),
    }


def _warnings(reading: DefectReading) -> tuple[str, ...]:
    if not reading.disturbed:
        return ()
    count = len(reading.disturbed)
    lost_s = sum(span.stop_s - span.start_s for span in reading.disturbed)
    heard = "the second microphone heard" if reading.has_ambient else "something else rang:"
    moments = "a moment" if count == 1 else f"{count} moments"
    return (f"{heard} {moments} of disturbance, {lost_s:.2f} s in all; left out of rub and buzz",)
