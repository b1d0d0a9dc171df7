"""From the converters' sample rate to the integration's and back, block by block."""

import numpy as np

from dsp import Floats
from hardware.virtual.rate_kernel import decimate, interpolate

# A windowed sinc, 120 dB down from 0.545 of the sample rate, flat within 1e-6 to 0.455 of it.
HALF_LENGTH = 44
_KAISER_BETA = 12.3
_FLAT_TO = 0.455


def lowpass(factor: int) -> Floats:
    """Design the filter that stands for a converter's, at a multiple of its sample rate.

    Parameters
    ----------
    factor : int
        How many fine samples one coarse sample has.

    Returns
    -------
    (2 HALF_LENGTH factor + 1,) array: linear phase, delay HALF_LENGTH coarse samples, gain 1 at
    0 Hz, cut-off at half the coarse rate. Sources: J. F. Kaiser, IEEE ISCAS (1974) 20.
    """
    n = np.arange(-HALF_LENGTH * factor, HALF_LENGTH * factor + 1)
    taps: Floats = np.sinc(n / factor) * np.kaiser(n.size, _KAISER_BETA) / factor
    return taps


def band_edge(part: Floats) -> Floats:
    """Close the band between where the filters are flat and half the sample rate.

    With nothing left at half the sample rate, a delay by part of a sample rings no longer than
    the filters do.

    Parameters
    ----------
    part : (m,) array
        Frequency over sample rate, 0 to 0.5.

    Returns
    -------
    (m,) array: 1 to 0.455, then half a cosine.
    """
    place = np.clip((part - _FLAT_TO) / (0.5 - _FLAT_TO), 0.0, 1.0)
    gain: Floats = (1 + np.cos(np.pi * place)) / 2
    return gain


class Upsampler:
    """Fine samples from coarse ones, ``HALF_LENGTH`` coarse samples late.

    Parameters
    ----------
    factor : int
        Fine samples for each coarse one.
    """

    def __init__(self, factor: int) -> None:
        taps = np.append(lowpass(factor) * factor, np.zeros(factor - 1))
        # Row p makes fine sample p of each coarse one; the oldest sample comes first.
        self._phases = taps.reshape(-1, factor)[::-1].T.copy()
        self._history = np.zeros(self._phases.shape[1] - 1)

    def feed(self, coarse: Floats) -> Floats:
        """Take the next block.

        Parameters
        ----------
        coarse : (n,) array
            Any unit.

        Returns
        -------
        (factor n,) array, same unit.
        """
        whole = np.append(self._history, coarse)
        self._history = whole[coarse.size :]
        fine = np.empty((coarse.size, self._phases.shape[0]))
        interpolate(whole, self._phases, fine)
        return fine.ravel()


class Decimator:
    """Coarse samples from fine ones, another ``HALF_LENGTH`` coarse samples late.

    Parameters
    ----------
    factor, channels : int
        Fine samples for each coarse one; how many signals at once.
    """

    def __init__(self, factor: int, *, channels: int) -> None:
        self._factor, self._taps = factor, lowpass(factor)
        self._history = np.zeros((channels, self._taps.size - 1))

    def feed(self, fine: Floats) -> Floats:
        """Take the next block.

        Parameters
        ----------
        fine : (channels, factor n) array
            Any unit.

        Returns
        -------
        (channels, n) array, same unit.
        """
        whole = np.concatenate([self._history, fine], axis=1)
        self._history = whole[:, fine.shape[1] :]
        coarse = np.empty((fine.shape[0], fine.shape[1] // self._factor))
        decimate(whole, self._taps, coarse)
        return coarse
