"""Long tones, and what a microphone might hear of them: bent, noisy, clicked into."""

from collections.abc import Callable

import numpy as np

from dsp import Floats
from dsp.defects.read_defects import read_defects
from dsp.defects.reading import DefectReading
from dsp.excitation.assemble import assemble
from dsp.excitation.excitation import Excitation
from dsp.excitation.segment import ToneSegment
from dsp.excitation.tones import tones

RATE = 48_000.0


def excitation(*hz: float) -> Excitation:
    part = tones(sample_rate_hz=RATE, hz=hz, dwell_s=0.4, peak_v=1.0)
    return assemble([part], sample_rate_hz=RATE)


def tone_segment(played: Excitation) -> ToneSegment:
    segment = played.segments[0]
    assert isinstance(segment, ToneSegment)
    return segment


def noise(played: Excitation, *, rms: float, seed: int = 1) -> Floats:
    rng = np.random.default_rng(seed)
    out: Floats = rms * rng.standard_normal(played.samples.size)
    return out


def read(
    played: Excitation,
    *,
    bend: Callable[[Floats], Floats] = lambda x: x,
    more: Floats | float = 0.0,
    rms: float = 1e-7,
) -> DefectReading:
    heard = bend(played.samples) + noise(played, rms=rms) + more
    return read_defects(heard, excitation=played)
