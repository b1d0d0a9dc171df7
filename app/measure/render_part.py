"""One part of a procedure's excitation, as its schema describes it, rendered in volts."""

import math
from collections.abc import Mapping
from typing import assert_never

import numpy as np

from app.procedure.excitation_schema import (
    File,
    LogSweep,
    Multitone,
    Noise,
    Single,
    SteppedSine,
    Tones,
    TwoTones,
)
from dsp import Floats
from dsp.excitation.file_signal import file_signal
from dsp.excitation.log_sweep import log_sweep
from dsp.excitation.multitone import multitone
from dsp.excitation.noise import noise
from dsp.excitation.rendered import Rendered
from dsp.excitation.stepped_sine import Zone, stepped_sine
from dsp.excitation.tones import tones
from dsp.excitation.two_tones import two_tones


def render_part(
    part: Single, *, sample_rate_hz: float, rms_v: float, audio: Mapping[str, Floats]
) -> Rendered:
    """Render one part at a level.

    Parameters
    ----------
    part : LogSweep, SteppedSine, Tones, Noise, Multitone, TwoTones or File
        As validated.
    sample_rate_hz : float
        Hz, the chain's.
    rms_v : float
        V rms at the terminals; a sine's peak is √2 times as high.
    audio : mapping of str to (n,) array
        Samples of the files, by ``File.audio_name``.

    Returns
    -------
    Rendered, V

    Raises
    ------
    DspError
        What is asked for cannot be rendered at this rate.
    """
    peak_v = math.sqrt(2) * rms_v
    match part:
        case LogSweep():
            return log_sweep(
                sample_rate_hz=sample_rate_hz,
                start_hz=part.start_hz,
                stop_hz=part.stop_hz,
                duration_s=part.duration_s,
                peak_v=peak_v,
            )
        case SteppedSine():
            return stepped_sine(
                sample_rate_hz=sample_rate_hz,
                zones=[
                    Zone(from_hz=zone.from_hz, to_hz=zone.to_hz, per_octave=zone.per_octave)
                    for zone in part.zones
                ],
                settle_periods=part.settle_periods,
                settle_s=part.settle_s,
                hold_periods=part.hold_periods,
                hold_s=part.hold_s,
                peak_v=peak_v,
            )
        case Tones():
            return tones(
                sample_rate_hz=sample_rate_hz, hz=part.hz, dwell_s=part.dwell_s, peak_v=peak_v
            )
        case Noise():
            return noise(
                sample_rate_hz=sample_rate_hz,
                colour=part.colour,
                start_hz=part.start_hz,
                stop_hz=part.stop_hz,
                duration_s=part.duration_s,
                rms_v=rms_v,
                crest_db=part.crest_db,
                rng=np.random.default_rng(part.seed),
            )
        case Multitone():
            return multitone(
                sample_rate_hz=sample_rate_hz,
                start_hz=part.start_hz,
                stop_hz=part.stop_hz,
                per_octave=part.per_octave,
                duration_s=part.duration_s,
                rms_v=rms_v,
                rng=np.random.default_rng(part.seed),
            )
        case TwoTones():
            return two_tones(
                sample_rate_hz=sample_rate_hz,
                low_hz=part.start_hz,
                high_hz=part.stop_hz,
                ratio=part.ratio,
                duration_s=part.duration_s,
                rms_v=rms_v,
            )
        case File():
            return file_signal(
                audio[part.audio_name],
                sample_rate_hz=sample_rate_hz,
                start_hz=part.start_hz,
                stop_hz=part.stop_hz,
                rms_v=rms_v,
            )
        case _:
            assert_never(part)
