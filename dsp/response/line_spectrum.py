"""What a channel holds at every line that a periodic excitation can reach, and the noise there."""

from collections.abc import Sequence
from dataclasses import dataclass, replace

import numpy as np

from dsp.arrays import Complexes, Floats, Ints, read_only
from dsp.errors import DspError
from dsp.excitation.excitation import Excitation
from dsp.excitation.segment import BroadbandSegment
from dsp.response.quiet_noise import quiet_noise

_BESIDE = 10  # bins to either side in which noise is looked for


@dataclass(frozen=True, slots=True, eq=False, kw_only=True)
class LineSpectrum:
    """Phasors at whole multiples of 1 over the period.

    Attributes
    ----------
    bin_hz : float
        Hz, distance of the lines; line k lies at k ``bin_hz``.
    amplitude : (n,) complex array
        rms, in the channel's unit, from k = 0 on, below half the sample rate.
    noise : (n,) array
        Standard deviation of the real (equally of the imaginary) part, same unit.
    played : (m,) array of int
        Lines that the excitation holds, rising.
    """

    bin_hz: float
    amplitude: Complexes
    noise: Floats
    played: Ints

    def __post_init__(self) -> None:
        for name in ("amplitude", "noise", "played"):
            object.__setattr__(self, name, read_only(getattr(self, name)))

    @property
    def frequency_hz(self) -> Floats:
        """Of every line, (n,), Hz."""
        out: Floats = self.bin_hz * np.arange(self.amplitude.size, dtype=np.float64)
        return out


def line_spectrum(channel: Floats, *, excitation: Excitation, segment_index: int) -> LineSpectrum:
    """Read whole periods of a multitone, or of two tones, after the first, which settles.

    Parameters
    ----------
    channel : (n,) array
        Any unit, on the clock of the excitation.
    excitation : Excitation
        What was played.
    segment_index : int
        Which of its segments; a BroadbandSegment with a period.

    Returns
    -------
    LineSpectrum. Noise is told from the bins between the lines, which a signal of this period
    cannot reach; where only one period is left to read, from the silence before.

    Raises
    ------
    DspError
        A segment without a period, less than two of them, a channel that ends before it.
    """
    segment = excitation.segments[segment_index]
    if not isinstance(segment, BroadbandSegment) or not segment.period:
        raise DspError("line_spectrum", "not periodic", given=type(segment).__name__)
    periods = (segment.stop - segment.start) // segment.period - 1
    first = segment.start + segment.period
    last = first + periods * segment.period
    if periods < 1 or channel.size < last:
        raise DspError("line_spectrum", "channel too short", given=channel.size)
    rate_hz = excitation.sample_rate_hz
    spectrum = np.fft.rfft(channel[first:last]) * (np.sqrt(2) / (last - first))
    amplitude = spectrum[::periods][: (segment.period + 1) // 2]
    bin_hz = rate_hz / segment.period
    if periods > 1:
        variance = _between(np.square(np.abs(spectrum)), periods=periods)[: amplitude.size]
    else:
        density = quiet_noise(channel, excitation=excitation)
        hz = bin_hz * np.maximum(np.arange(amplitude.size), 1)
        variance = density.density_at(hz) * bin_hz
    return LineSpectrum(
        bin_hz=bin_hz,
        amplitude=amplitude,
        noise=np.sqrt(variance / 2),
        played=np.rint(segment.frequency_hz / bin_hz).astype(np.int64),
    )


def repeated_spectrum(
    channel: Floats, *, excitation: Excitation, segment_indices: Sequence[int]
) -> LineSpectrum:
    """Read the mean of a multitone, or of two tones, that is played several times.

    Parameters
    ----------
    channel : (n,) array
        Any unit, on the clock of the excitation.
    excitation : Excitation
        What was played.
    segment_indices : sequence of int
        Segments that repeat one another.

    Returns
    -------
    LineSpectrum, the mean of the phasors; noise falls by the root of their number.

    Raises
    ------
    DspError
        As ``line_spectrum``.
    """
    read = [
        line_spectrum(channel, excitation=excitation, segment_index=index)
        for index in segment_indices
    ]
    return replace(
        read[0],
        amplitude=np.mean([one.amplitude for one in read], axis=0),
        noise=np.sqrt(np.sum([one.noise**2 for one in read], axis=0)) / len(read),
    )


def _between(power: Floats, *, periods: int) -> Floats:
    # About each line, the mean over bins that lie on none.
    free = np.arange(power.size) % periods != 0
    summed = np.concatenate([[0.0], np.cumsum(np.where(free, power, 0.0))])
    counted = np.concatenate([[0], np.cumsum(free)])
    at = np.arange(0, power.size, periods)
    low, high = np.maximum(at - _BESIDE, 0), np.minimum(at + _BESIDE + 1, power.size)
    out: Floats = (summed[high] - summed[low]) / np.maximum(counted[high] - counted[low], 1)
    return out
