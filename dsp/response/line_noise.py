"""How strong the noise is at a line, told from the bins around it and from a silence."""

from dataclasses import dataclass

import numpy as np
from scipy.special import fdtri

from dsp.arrays import Floats, read_only

_NARROW, _WIDE = 6, 24  # bins looked at on either side of a line
_LOWEST = 0.4  # of the fundamental: what lies below is drift
_HANN_BINS = 35 / 18  # neighbouring bins of a Hann window that count as one
_ODDS = 0.001


@dataclass(frozen=True, slots=True, eq=False, kw_only=True)
class LineNoise:
    """Noise density at each line.

    Attributes
    ----------
    density : (k,) array
        Unit squared: the variance of the samples of white noise as strong as the noise there.
    freedom : (k,) array
        Degrees of freedom of that variance; 0 where nothing tells.
    """

    density: Floats
    freedom: Floats

    def __post_init__(self) -> None:
        object.__setattr__(self, "density", read_only(self.density))
        object.__setattr__(self, "freedom", read_only(self.freedom))


@dataclass(frozen=True, slots=True, eq=False, kw_only=True)
class QuietSpectrum:
    """Running sum of the periodogram of a silence; empty where there is none.

    Attributes
    ----------
    summed : (n + 1,) array
        Unit squared; from bin 0 up, starting with 0.
    samples : int
        Length of the silence.
    """

    summed: Floats
    samples: int

    def around(self, cycles_a_sample: Floats, *, half_width: float) -> LineNoise:
        """Average over a span around each frequency.

        Parameters
        ----------
        cycles_a_sample : (k,) array
            Frequencies over the sample rate.
        half_width : float
            Of the span, in the same measure.

        Returns
        -------
        LineNoise, (k,)
        """
        highest = self.summed.size - 2
        if highest < 1:
            return LineNoise(density=np.zeros(cycles_a_sample.size), freedom=np.zeros(1))
        edges = np.stack([cycles_a_sample - half_width, cycles_a_sample + half_width])
        low, high = np.clip(np.rint(edges * self.samples), 1, highest).astype(np.int64)
        count = high - low + 1
        mean = (self.summed[high + 1] - self.summed[low]) / count
        return LineNoise(density=mean, freedom=np.maximum(2 * count / _HANN_BINS, 2.0))


def quiet_spectrum(quiet: Floats) -> QuietSpectrum:
    """Prepare the silence before an excitation for being compared with what came later.

    Parameters
    ----------
    quiet : (n,) array
        Any unit.

    Returns
    -------
    QuietSpectrum
    """
    if quiet.size < 16:
        return QuietSpectrum(summed=np.zeros(1), samples=quiet.size)
    window = 0.5 - 0.5 * np.cos(2 * np.pi * np.arange(quiet.size) / quiet.size)
    spectrum = np.fft.rfft((quiet - quiet.mean()) * window)
    power = np.square(np.abs(spectrum)) / np.sum(np.square(window))
    return QuietSpectrum(summed=np.concatenate([[0.0], np.cumsum(power)]), samples=quiet.size)


def line_noise(
    residual: Floats, *, cycles_a_sample: float, orders: int, quiet: QuietSpectrum
) -> LineNoise:
    """Tell the noise at each order of one tone from what a fit left of it.

    Taken from the bins between the orders, so orders that were not fitted do not count as noise.
    Where the silence agrees with them (F test, 0.1 % on either side) both are pooled, weighted by
    their degrees of freedom; where it does not, the tone's own residual alone is believed.

    Parameters
    ----------
    residual : (n,) array
        Any unit.
    cycles_a_sample : float
        Frequency of the tone over the sample rate.
    orders : int
        K.
    quiet : QuietSpectrum
        The silence, in the same unit.

    Returns
    -------
    LineNoise, (orders,)
    """
    periods = residual.size * cycles_a_sample
    power = np.square(np.abs(np.fft.rfft(residual))) / residual.size
    bins = np.arange(power.size)
    nearest = np.rint(bins / periods) * periods
    between = (np.abs(bins - nearest) > 0.75) & (bins >= _LOWEST * periods)
    between[-1] = False  # the Nyquist bin has one degree of freedom, not two
    summed = np.concatenate([[0.0], np.cumsum(np.where(between, power, 0.0))])
    counted = np.concatenate([[0], np.cumsum(between)])
    width = float(np.clip(periods - 1, _NARROW, _WIDE))
    line = periods * np.arange(1, orders + 1)
    low = np.clip(np.ceil(line - width - 1e-3), 0, power.size - 1).astype(np.int64)
    high = np.clip(np.floor(line + width + 1e-3), 0, power.size - 1).astype(np.int64) + 1
    count = counted[high] - counted[low]
    own = LineNoise(
        density=(summed[high] - summed[low]) / np.maximum(count, 1), freedom=2.0 * count
    )
    before = quiet.around(line / residual.size, half_width=width / residual.size)
    return _pooled(own, before)


def _pooled(own: LineNoise, before: LineNoise) -> LineNoise:
    freedom = np.maximum(own.freedom, 1.0)
    silent = np.maximum(before.freedom, 1.0)
    ratio = own.density / np.where(before.density > 0, before.density, np.inf)
    agree = (ratio > fdtri(freedom, silent, _ODDS)) & (ratio < fdtri(freedom, silent, 1 - _ODDS))
    weight = np.where(agree, before.freedom, 0.0)
    total = own.freedom + weight
    density = own.freedom * own.density + weight * before.density
    return LineNoise(density=density / np.maximum(total, 1.0), freedom=total)
