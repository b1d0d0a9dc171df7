"""How strong the noise is at a line, told from the bins around it and from a silence."""

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from scipy.special import fdtri

from dsp.arrays import Floats, read_only

_NARROW, _WIDE = 6, 24  # bins looked at on either side of a line
_LOWEST = 0.4  # of the fundamental: what lies below is drift
_HANN_BINS = 35 / 18  # neighbouring bins of a Hann window that count as one
_ODDS = 0.001
_BESIDE = 0.75  # bins: nearer to a line than this is the line itself
_SLACK = 1e-3


@dataclass(frozen=True, slots=True, eq=False, kw_only=True)
class LineNoise:
    """Noise density at k lines of m tones.

    Attributes
    ----------
    density : (m, k) array
        Unit squared: the variance of the samples of white noise as strong as the noise there.
    freedom : (m, k) array
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

    def around(self, cycles_a_sample: Floats, *, half_width: Floats) -> LineNoise:
        """Average over a span around each frequency.

        Parameters
        ----------
        cycles_a_sample : (m, k) array
            Frequencies over the sample rate.
        half_width : (m, 1) array
            Of the span, in the same measure.

        Returns
        -------
        LineNoise, (m, k)
        """
        highest = self.summed.size - 2
        if highest < 1:
            nothing = np.zeros(cycles_a_sample.shape)
            return LineNoise(density=nothing, freedom=nothing)
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
    residuals: Sequence[Floats], *, cycles_a_sample: Floats, orders: int, quiet: QuietSpectrum
) -> LineNoise:
    """Tell the noise at each order of each tone from what a fit left of it.

    Taken from the bins between the orders, so orders that were not fitted do not count as noise.
    Where the silence agrees with them (F test, 0.1 % on either side) both are pooled, weighted by
    their degrees of freedom; where it does not, the tone's own residual alone is believed.

    Parameters
    ----------
    residuals : sequence of m (samples,) arrays
        Any unit.
    cycles_a_sample : (m,) array
        Frequency of each tone over the sample rate.
    orders : int
        K.
    quiet : QuietSpectrum
        The silence, in the same unit.

    Returns
    -------
    LineNoise, (m, orders)
    """
    lengths = np.array([residual.size for residual in residuals])
    periods = lengths * cycles_a_sample
    # All spectra in one row, so that the sums around all lines take one pass.
    power = np.concatenate([np.square(np.abs(np.fft.rfft(left))) / left.size for left in residuals])
    sizes = lengths // 2 + 1
    starts = np.cumsum(sizes) - sizes
    bins = np.arange(power.size) - np.repeat(starts, sizes)
    spacing = np.repeat(periods, sizes)
    between = np.abs(bins - np.rint(bins / spacing) * spacing) > _BESIDE
    between &= bins >= _LOWEST * spacing
    between[starts + sizes - 1] = False  # the Nyquist bin has one degree of freedom, not two
    summed = np.concatenate([[0.0], np.cumsum(np.where(between, power, 0.0))])
    counted = np.concatenate([[0], np.cumsum(between)])
    width = np.clip(periods - 1, _NARROW, _WIDE)[:, None]
    line = periods[:, None] * np.arange(1, orders + 1)
    highest = sizes[:, None] - 1
    low = starts[:, None] + np.clip(np.ceil(line - width - _SLACK), 0, highest).astype(np.int64)
    high = starts[:, None] + np.clip(line + width + _SLACK, 0, highest).astype(np.int64) + 1
    count = counted[high] - counted[low]
    own = LineNoise(
        density=(summed[high] - summed[low]) / np.maximum(count, 1), freedom=2.0 * count
    )
    samples = lengths[:, None]
    return _pooled(own, quiet.around(line / samples, half_width=width / samples))


def _pooled(own: LineNoise, before: LineNoise) -> LineNoise:
    freedom = np.maximum(own.freedom, 1.0)
    silent = np.maximum(before.freedom, 1.0)
    ratio = own.density / np.where(before.density > 0, before.density, np.inf)
    agree = (ratio > fdtri(freedom, silent, _ODDS)) & (ratio < fdtri(freedom, silent, 1 - _ODDS))
    weight = np.where(agree, before.freedom, 0.0)
    total = own.freedom + weight
    density = own.freedom * own.density + weight * before.density
    return LineNoise(density=density / np.maximum(total, 1.0), freedom=total)
