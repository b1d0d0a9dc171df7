"""What falls in a hall: now and then an impulse that rings, heard by both microphones."""

import numpy as np

from dsp import Floats
from dsp.acoustic.air import Air
from hardware.chain.virtual_schema import Virtual

_RING_S = (2e-3, 15e-3)
_RING_HZ = (400.0, 5000.0)
_MODES = 4
_SPREAD = 0.7  # of the natural logarithm of the peak
# The second microphone stands nearer to where things fall, and hears them louder and first.
AMBIENT_LOUDER, _FIRST_M = 2.0, 0.7


def clanks(
    rig: Virtual, *, samples: int, sample_rate_hz: float, rng: np.random.Generator
) -> Floats:
    """Draw the impulses of a stretch of time, as the measuring microphone hears them.

    Parameters
    ----------
    rig : Virtual
        How often and how loud.
    samples : int
        Length.
    sample_rate_hz : float
        Hz.
    rng : Generator
        Where they come from.

    Returns
    -------
    (samples,) array, Pa.
    """
    out = np.zeros(samples)
    for start in rng.integers(0, samples, rng.poisson(rig.clanks_per_s * samples / sample_rate_hz)):
        tau = rng.uniform(*_RING_S)
        time = np.arange(min(int(8 * tau * sample_rate_hz), samples - start)) / sample_rate_hz
        hz = np.exp(rng.uniform(np.log(_RING_HZ[0]), np.log(_RING_HZ[1]), (_MODES, 1)))
        share, phase = rng.uniform(0.4, 1.0, (_MODES, 1)), rng.uniform(0, 2 * np.pi, (_MODES, 1))
        ring = np.sum(share * np.sin(2 * np.pi * hz * time + phase), axis=0) * np.exp(-time / tau)
        peak = rig.clank_pa * float(np.exp(_SPREAD * rng.standard_normal()))
        out[start : start + time.size] += peak * ring / max(float(np.max(np.abs(ring))), 1e-12)
    return out


def heard_first(clank: Floats, *, sample_rate_hz: float, air: Air) -> Floats:
    """Find what the second microphone hears of the same impulses: louder, and earlier.

    Parameters
    ----------
    clank : (n,) array
        Pa, at the measuring microphone.
    sample_rate_hz : float
        Hz.
    air : Air
        Through which they come.

    Returns
    -------
    (n,) array, Pa.
    """
    early = round(_FIRST_M / air.speed_m_per_s * sample_rate_hz)
    return AMBIENT_LOUDER * np.append(clank[early:], np.zeros(early))
