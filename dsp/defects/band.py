"""The band in which defects are looked for, and how noise is made alike over it."""

from dataclasses import dataclass
from functools import lru_cache

import numpy as np
from scipy import fft

from dsp.arrays import Floats, read_only
from dsp.response.quiet_noise import QuietNoise

LOW_HZ, HIGH_HZ = 800.0, 15_000.0
_HIGHEST = 0.45  # of the sample rate: converters' filters fade above
_EDGE_OCTAVES = 1 / 3


@dataclass(frozen=True, slots=True, eq=False, kw_only=True)
class Band:
    """Gains for the spectrum of a stretch of ``samples`` samples.

    Attributes
    ----------
    samples : int
        Length of the stretch.
    passes : (samples // 2 + 1,) array
        1 from 0.8 to 15 kHz, with smooth edges outside.
    whitens : (samples // 2 + 1,) array
        The same, over the root of the noise's density: clicks, whose spectrum is wide, then stand
        out of noise that falls with frequency. Unit: 1/(Pa/sqrt(Hz)).
    noise_pa : float
        Pa rms, the noise of the silence in the band.
    """

    samples: int
    passes: Floats
    whitens: Floats
    noise_pa: float

    def __post_init__(self) -> None:
        object.__setattr__(self, "passes", read_only(self.passes))
        object.__setattr__(self, "whitens", read_only(self.whitens))


def band(samples: int, *, sample_rate_hz: float, noise: QuietNoise) -> Band:
    """Lay the band over the spectrum of a stretch.

    Parameters
    ----------
    samples : int
        Length of the stretch.
    sample_rate_hz : float
        Hz; where it is low, the band ends at 0.45 of it.
    noise : QuietNoise
        Of the same channel.

    Returns
    -------
    Band
    """
    passes = _passes(samples, sample_rate_hz)
    inside = np.flatnonzero(passes)
    density = noise.density_at(inside.astype(np.float64) * (sample_rate_hz / samples))
    whitens = np.zeros(passes.size)
    whitens[inside] = passes[inside] / np.sqrt(np.maximum(density, np.finfo(float).tiny))
    power = float(np.sum(density * passes[inside] ** 2)) * sample_rate_hz / samples
    return Band(samples=samples, passes=passes, whitens=whitens, noise_pa=float(np.sqrt(power)))


@lru_cache(maxsize=32)
def _passes(samples: int, sample_rate_hz: float) -> Floats:
    # A take after the other asks for the same ones.
    hz = fft.rfftfreq(samples, 1 / sample_rate_hz)
    high_hz = min(HIGH_HZ, _HIGHEST * sample_rate_hz)
    octaves = np.log2(np.maximum(hz, hz[1] / 2))
    rise = (octaves - np.log2(LOW_HZ)) / _EDGE_OCTAVES + 1
    fall = (np.log2(high_hz) - octaves) / _EDGE_OCTAVES + 1
    return read_only(np.sin(np.pi / 2 * np.clip(np.minimum(rise, fall), 0, 1)) ** 2)
