"""What of a take's irregular defects a person would hear at the microphone."""

from dataclasses import replace

import numpy as np

from app.measure.distortion import ratio_uncertainty_db
from app.measure.found import Found
from app.measure.irregular import NOT_HEARD
from app.measure.scene import Scene
from dsp import Curve, Number, ValidRange
from dsp.acoustic.microphone import correct_noise
from dsp.audibility.audible_defects import AudibleDefects, audible_sweep, audible_tones
from dsp.audibility.audible_excess import Known
from dsp.response.quiet_noise import quiet_noise
from hardware.chain.budget import pressure_budget

_HOW = "residual over the masked threshold, loudest critical band"


def audible(scene: Scene) -> Found:
    """Derive the audible excess: over the sweep where there is one, and as one number.

    Tones tell the number where they were played, for they are held longer than a sweep stays.
    """
    reading, heard, pressure = scene.defects, scene.recording.pressure_pa, scene.pressure
    if reading is None or heard is None or pressure is None:
        return Found()
    noise = scene.noise or quiet_noise(heard, excitation=scene.excitation)
    if scene.microphone is not None:
        noise = correct_noise(noise, response=scene.microphone)
    known = Known(
        level_db=2 * pressure_budget(scene.chain.chain).standard_uncertainty,
        ratio_db=ratio_uncertainty_db(scene),
    )
    tones = audible_tones(reading, pressure=pressure, noise=noise, known=known)
    swept = tones
    if reading.sweep is not None:
        swept = audible_sweep(reading.sweep, pressure=pressure, noise=noise, known=known)
    told = tones if tones.frequency_hz.size else swept
    if not swept.frequency_hz.size:
        return Found()
    curve, number = _curve(swept), _number(told)
    if reading.unheard:
        curve, number = replace(curve, valid=NOT_HEARD), replace(number, reason=reading.unheard)
    return Found(curves={"audible_excess": curve}, numbers={"audible_excess_db": number})


def _curve(found: AudibleDefects) -> Curve:
    return Curve(
        frequency_hz=found.frequency_hz,
        value=found.excess_db,
        unit="dB",
        valid=ValidRange(
            low_hz=float(found.frequency_hz[0]), high_hz=float(found.frequency_hz[-1])
        ),
        uncertainty=found.uncertainty_db,
        is_bound=found.is_bound,
        how=f"{_HOW}; bounds where noise hides it",
    )


def _number(found: AudibleDefects) -> Number:
    at = int(np.argmax(found.excess_db))
    heard_hz = float(f"{found.heard_hz[at]:.2g}")  # two digits: a critical band is no finer
    how = f"{_HOW}, at {found.frequency_hz[at]:.3g} Hz, heard about {heard_hz:.0f} Hz"
    hidden = bool(found.is_bound[at])
    return Number(
        value=float(found.excess_db[at]),
        unit="dB",
        uncertainty=None if hidden else float(found.uncertainty_db[at]),
        how=f"{how}; noise hides it" if hidden else how,
        is_bound=hidden,
    )
