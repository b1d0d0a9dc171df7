"""An impulse response, and its spectrum at any frequency."""

from dataclasses import dataclass

import numpy as np
from scipy import fft

from dsp.arrays import Complexes, Floats, read_only

_POINTS = 6
# Bins a response's length is divided into; with the delay taken out six points are then enough.
_FINER = 5
_NODES = np.arange(1 - _POINTS // 2, 1 + _POINTS // 2)
_NODE_WEIGHTS = np.array([1 / np.prod(node - _NODES[node != _NODES]) for node in _NODES])


@dataclass(frozen=True, slots=True, eq=False, kw_only=True)
class ImpulseResponse:
    """What a channel answers to one volt for one sample.

    Attributes
    ----------
    samples : (n,) array
        Channel's unit per volt; the plain sum over samples e^(-j w t) is the response. Times the
        sample rate it is the impulse response in unit/(V s).
    sample_rate_hz : float
        Hz.
    zero_index : int
        Where time zero lies, at which the impulse was played; may lie outside.
    arrival_index : int
        Where the response sets in.
    """

    samples: Floats
    sample_rate_hz: float
    zero_index: int
    arrival_index: int

    def __post_init__(self) -> None:
        object.__setattr__(self, "samples", read_only(self.samples))

    @property
    def time_s(self) -> Floats:
        """Time of each sample, (n,), s."""
        out: Floats = (np.arange(self.samples.size) - self.zero_index) / self.sample_rate_hz
        return out


def response_at(impulse: ImpulseResponse, *, frequency_hz: Floats) -> Complexes:
    """Evaluate the spectrum of an impulse response.

    Parameters
    ----------
    impulse : ImpulseResponse
        (n,) samples.
    frequency_hz : (m,) array
        Hz, from 0 to half the sample rate.

    Returns
    -------
    (m,) complex array, channel's unit per volt, phase relative to time zero. A padded transform
    is interpolated between its bins, with the arrival as its origin, so that it turns slowly.
    """
    size = fft.next_fast_len(_FINER * impulse.samples.size, real=True)
    at = min(max(impulse.arrival_index, 0), impulse.samples.size)
    turned = np.zeros(size)
    turned[: impulse.samples.size - at] = impulse.samples[at:]
    if at:
        turned[-at:] = impulse.samples[:at]
    bins: Complexes = fft.rfft(turned)
    # Mirrored about both ends, so that the interpolation needs no special case there.
    last = bins.size - 1
    low = np.conj(bins[_POINTS - 1 : 0 : -1])
    high = np.conj(bins[(size - last - 1) : (size - last - 1 - _POINTS) : -1])
    spread = np.concatenate([low, bins, high])
    place = frequency_hz * (size / impulse.sample_rate_hz)
    below = np.minimum(place.astype(np.int64), last)
    index = below + _NODES[:, None] + low.size
    value: Complexes = np.sum(spread[index] * _lagrange(place - below), axis=0)
    delay_s = (at - impulse.zero_index) / impulse.sample_rate_hz
    out: Complexes = value * np.exp(-2j * np.pi * delay_s * frequency_hz)
    return out


def _lagrange(fraction: Floats) -> Floats:
    # One row a node: the product of the distances to all others, from both ends.
    away = fraction - _NODES[:, None]
    weights = np.repeat(_NODE_WEIGHTS[:, None], fraction.size, axis=1)
    weights[1:] *= np.multiply.accumulate(away[:-1], axis=0)
    weights[:-1] *= np.multiply.accumulate(away[:0:-1], axis=0)[::-1]
    return weights
