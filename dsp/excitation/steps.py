"""Steady sines one after the other without a break: what stepped sines and tones are made of."""

import numpy as np

from dsp.arrays import Floats, Ints
from dsp.errors import DspError
from dsp.excitation.allowed import require_playable, require_positive
from dsp.excitation.fade import FADE_S, faded
from dsp.excitation.rendered import Rendered
from dsp.excitation.segment import ToneSegment


def steps(
    frequency_hz: Floats,
    *,
    sample_rate_hz: float,
    settle_samples: Ints,
    hold_samples: Ints,
    peak_v: float,
) -> Rendered:
    """Render tones that follow each other with continuous phase, each settling, then holding.

    The first settling time is at least the ramp; the last tone goes on under a ramp of its own.

    Parameters
    ----------
    frequency_hz : (m,) array
        Hz, in the order in which they are played.
    sample_rate_hz : float
        Hz.
    settle_samples, hold_samples : (m,) array of int
        Length of the two parts of each tone.
    peak_v : float
        V across the terminals.

    Returns
    -------
    Rendered, with a ToneSegment; V.

    Raises
    ------
    DspError
        No tone, a frequency that the rate cannot hold, no level, or a part of negative length.
    """
    require_positive("steps", peak_v=peak_v, sample_rate_hz=sample_rate_hz)
    if not frequency_hz.size:
        raise DspError("steps", "no tone", allowed="at least one")
    for hz in (frequency_hz.min(), frequency_hz.max()):
        require_playable("steps", sample_rate_hz=sample_rate_hz, frequency_hz=float(hz))
    if settle_samples.min() < 0 or hold_samples.min() < 1:
        given = (int(settle_samples.min()), int(hold_samples.min()))
        raise DspError("steps", "a tone without length", given=given, allowed="from 0, from 1")
    ramp = int(np.ceil(FADE_S * sample_rate_hz))
    settle = settle_samples.astype(np.int64)
    settle[0] = max(settle[0], ramp)
    ends = np.cumsum(settle + hold_samples)
    begins = np.concatenate([[0], ends[:-1]])
    # Cycles, kept small: a phase counted from far away would lose digits.
    turns = frequency_hz * (ends - begins) / sample_rate_hz
    at_begin = np.concatenate([[0.0], np.cumsum(turns % 1)[:-1]])
    phase_rad = 2 * np.pi * ((at_begin - frequency_hz * begins / sample_rate_hz) % 1)
    played = np.diff(np.append(begins, ends[-1] + ramp))
    n = np.arange(ends[-1] + ramp)
    angle = 2 * np.pi * np.repeat(frequency_hz / sample_rate_hz, played) * n
    samples = peak_v * np.sin(angle + np.repeat(phase_rad, played))
    return Rendered(
        samples=faded(samples, fade_samples=ramp),
        segment=ToneSegment(
            start=0,
            stop=samples.size,
            frequency_hz=frequency_hz.astype(np.float64),
            hold_start=begins + settle,
            hold_stop=ends,
            phase_rad=phase_rad,
            peak_v=np.full(frequency_hz.size, float(peak_v)),
        ),
    )
