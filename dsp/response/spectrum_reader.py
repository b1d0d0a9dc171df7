"""Reads the spectrum of an impulse response at any frequency: what does not depend on the response.

A padded transform is interpolated between its bins, with the arrival as its origin, so that it
turns slowly.
"""

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray
from scipy import fft

from dsp.arrays import Bools, Complexes, Floats, Ints, read_only

_POINTS = 6
# Bins a response's length is divided into; with the delay taken out six points are then enough.
_FINER = 5
_NODES = np.arange(1 - _POINTS // 2, 1 + _POINTS // 2)
_NODE_WEIGHTS = np.array([1 / np.prod(node - _NODES[node != _NODES]) for node in _NODES])


@dataclass(frozen=True, slots=True, eq=False, kw_only=True)
class SpectrumReader:
    """Where the frequencies asked for lie between the bins of the transform, and what each weighs.

    Attributes
    ----------
    size : int
        Length of the transform.
    before, after : int
        Samples of a response up to its arrival, and from there on.
    bins : (p, m) array of int
        Lines about each of m frequencies.
    mirrored : (p, m) bool array
        Where a line beyond either end is meant: it is the conjugate of the one that is read.
    weight : (p, m) array
        Of each line.
    """

    size: int
    before: int
    after: int
    bins: Ints
    mirrored: Bools
    weight: Floats

    def __post_init__(self) -> None:
        for name in ("bins", "mirrored", "weight"):
            object.__setattr__(self, name, read_only(getattr(self, name)))

    def read(self, samples: NDArray[np.floating]) -> Complexes:
        """Evaluate the spectrum of one response.

        Parameters
        ----------
        samples : (before + after,) array
            Any unit.

        Returns
        -------
        (m,) complex array, that unit, phase relative to the arrival: the plain sum over samples of
        e^(-j w t).
        """
        turned = np.zeros(self.size, dtype=samples.dtype)
        turned[: self.after] = samples[self.before :]
        if self.before:
            turned[-self.before :] = samples[: self.before]
        near = fft.rfft(turned)[self.bins]
        np.conj(near, out=near, where=self.mirrored)
        out: Complexes = np.einsum("pm,pm->m", near, self.weight)
        return out


def spectrum_reader(
    *, before: int, after: int, sample_rate_hz: float, frequency_hz: Floats
) -> SpectrumReader:
    """Prepare to read responses of one length.

    Parameters
    ----------
    before, after : int
        Samples up to the arrival, and from there on.
    sample_rate_hz : float
        Hz.
    frequency_hz : (m,) array
        Hz, from 0 to half the sample rate.

    Returns
    -------
    SpectrumReader
    """
    size = fft.next_fast_len(_FINER * (before + after), real=True)
    last = size // 2
    place = frequency_hz * (size / sample_rate_hz)
    below = np.minimum(place.astype(np.int64), last)
    lines = below + _NODES[:, np.newaxis]
    mirrored = (lines < 0) | (lines > last)
    return SpectrumReader(
        size=size,
        before=before,
        after=after,
        bins=np.where(mirrored, np.where(lines < 0, -lines, size - lines), lines),
        mirrored=mirrored,
        weight=_lagrange(place - below),
    )


def _lagrange(fraction: Floats) -> Floats:
    # One row a node: the product of the distances to all others, from both ends.
    away = fraction - _NODES[:, np.newaxis]
    weights = np.repeat(_NODE_WEIGHTS[:, np.newaxis], fraction.size, axis=1)
    weights[1:] *= np.multiply.accumulate(away[:-1], axis=0)
    weights[:-1] *= np.multiply.accumulate(away[:0:-1], axis=0)[::-1]
    return weights
