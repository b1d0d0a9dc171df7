"""What tones make of each other, of a capture with a microphone and several tones at once."""

from dataclasses import replace

import numpy as np

from app.measure.distortion import ratio_uncertainty_db
from app.measure.found import Found
from app.measure.repeats import first_part_repeats
from app.measure.scene import Scene
from dsp import DspError
from dsp.acoustic.microphone import microphone_gain
from dsp.distortion.intermodulation import (
    difference_frequency_distortion,
    modulation_distortion,
)
from dsp.distortion.multitone_distortion import multitone_distortion
from dsp.excitation.segment import BroadbandSegment
from dsp.response.line_spectrum import LineSpectrum, repeated_spectrum

_PAIR = 2


def intermodulation(scene: Scene) -> Found:
    """Derive modulation, difference-frequency or multitone distortion, whichever was played for.

    Two tones within an octave tell difference frequencies; two farther apart, sidebands; more
    tones, what lies between them.
    """
    heard, segment = scene.recording.pressure_pa, scene.segment
    if heard is None or not isinstance(segment, BroadbandSegment) or not segment.period:
        return Found()
    spectrum = _corrected(
        repeated_spectrum(
            heard,
            excitation=scene.excitation,
            segment_indices=range(first_part_repeats(scene.procedure)),
        ),
        scene=scene,
    )
    try:
        return _told(spectrum, db=ratio_uncertainty_db(scene))
    except DspError as error:  # a pair without room for its products is still a pair of points
        return Found(warnings=(f"intermodulation: {error}",))


def _told(spectrum: LineSpectrum, *, db: float) -> Found:
    lowest, highest = int(spectrum.played[0]), int(spectrum.played[-1])
    if spectrum.played.size > _PAIR:
        between = multitone_distortion(spectrum, ratio_uncertainty_db=db)
        return Found(
            curves={"multitone_distortion": between.bands},
            numbers={"multitone_percent": between.total},
        )
    if highest < 2 * lowest:
        difference = difference_frequency_distortion(spectrum, ratio_uncertainty_db=db)
        return Found(
            numbers={
                "difference_second_percent": difference.second,
                "difference_third_percent": difference.third,
            }
        )
    modulation = modulation_distortion(spectrum, ratio_uncertainty_db=db)
    return Found(
        numbers={
            "modulation_second_percent": modulation.second,
            "modulation_third_percent": modulation.third,
            "modulation_percent": modulation.total,
        }
    )


def _corrected(spectrum: LineSpectrum, *, scene: Scene) -> LineSpectrum:
    """Take the microphone's own response out, as far as its table goes."""
    response = scene.microphone
    if response is None:
        return spectrum
    low_hz, high_hz = response.frequency_hz[[0, -1]]
    held = np.clip(spectrum.frequency_hz, low_hz, high_hz)
    gain = np.abs(microphone_gain(response, frequency_hz=held))
    return replace(spectrum, amplitude=spectrum.amplitude / gain, noise=spectrum.noise / gain)
