"""The noise at the microphone, from the silence before the excitation."""

from dataclasses import replace

import numpy as np

from app.measure.found import Found
from app.measure.scene import Scene
from dsp.acoustic.microphone import microphone_gain
from dsp.acoustic.noise_level import noise_level
from hardware.chain.budget import pressure_budget


def silence(scene: Scene) -> Found:
    """Derive the level of the silence in third octaves."""
    heard = scene.recording.pressure_pa
    if heard is None:
        return Found()
    found = noise_level(
        heard[: scene.excitation.quiet_stop],
        sample_rate_hz=scene.excitation.sample_rate_hz,
        chain_db=pressure_budget(scene.chain.chain).standard_uncertainty,
    )
    bands, response = found.bands, scene.microphone
    if response is not None:
        gain = np.abs(microphone_gain(response, frequency_hz=bands.frequency_hz))
        bands = replace(bands, value=bands.value - 20 * np.log10(gain))
    return Found(curves={"noise": bands})
