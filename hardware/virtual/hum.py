"""Hum of the mains at the input jacks."""

import math

import numpy as np

from dsp import Floats
from hardware.chain.schema import Chain
from hardware.virtual.in_truth import truth_of

_MULTIPLES = {1: 1.0, 2: 0.2, 3: 0.5, 5: 0.25}  # amplitudes re the mains
_ALL = math.sqrt(sum(part**2 for part in _MULTIPLES.values()))


def hum_at(chain: Chain, *, channels: int, at: int, samples: int, rate: float) -> Floats:
    """Find what hum the inputs record.

    Parameters
    ----------
    chain : Chain
        As it is in truth.
    channels : int
        How many inputs there are.
    at, samples : int
        First sample, and how many.
    rate : float
        Hz.

    Returns
    -------
    (samples, channels) array, full-scale units; 0 for a channel that is not wired.
    """
    truth, hum = truth_of(chain), np.zeros((samples, channels))
    if truth.hum_v == 0:
        return hum
    turn = 2 * math.pi * truth.mains_hz / rate * np.arange(at, at + samples)
    wave = np.zeros(samples)
    for multiple, part in _MULTIPLES.items():
        wave += math.sqrt(2) * truth.hum_v * part / _ALL * np.sin(multiple * turn)
    for link in chain.input.wired.values():
        if link.channel <= channels:
            hum[:, link.channel - 1] = wave / link.full_scale_v
    return hum
