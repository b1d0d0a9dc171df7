"""The noise of a channel, from the silence before the excitation."""

from dataclasses import dataclass

import numpy as np
from scipy import fft

from dsp.arrays import Floats, read_only
from dsp.errors import DspError
from dsp.excitation.excitation import Excitation
from dsp.response.tapers import sine_tapers

_TAPERS = 4
# The mark begins at the end of the silence; a filter may ring before it.
_GUARD_S = 0.003
_SHORTEST_S = 0.015
# Averaged over this part of an octave to either side, or over this many Hz per second of silence
# where that is wider, but never over more than half the frequency.
_OCTAVES, _BINS, _WIDEST = 1 / 6, 6.0, 0.5
_POINTS_PER_OCTAVE = 12


@dataclass(frozen=True, slots=True, eq=False, kw_only=True)
class QuietNoise:
    """Noise of one channel while nothing is played.

    Attributes
    ----------
    frequency_hz : (m,) array
        Hz, log spaced.
    density : (m,) array
        One-sided power density, unit^2/Hz.
    rms : float
        Of the whole band, unit.
    mean : float
        The channel's offset, unit.
    """

    frequency_hz: Floats
    density: Floats
    rms: float
    mean: float

    def __post_init__(self) -> None:
        object.__setattr__(self, "frequency_hz", read_only(self.frequency_hz))
        object.__setattr__(self, "density", read_only(self.density))

    def density_at(self, frequency_hz: Floats) -> Floats:
        """Interpolate the density, log over log; the ends hold beyond them.

        Parameters
        ----------
        frequency_hz : (n,) array
            Hz.

        Returns
        -------
        (n,) array, unit^2/Hz.
        """
        tiny = np.finfo(np.float64).tiny
        log_density = np.log(np.maximum(self.density, tiny))
        out: Floats = np.exp(
            np.interp(np.log(frequency_hz), np.log(self.frequency_hz), log_density)
        )
        return out


def quiet_noise(channel: Floats, *, excitation: Excitation) -> QuietNoise:
    """Measure the noise in the silence before the first mark.

    Sine tapers (`dsp.response.tapers`) use the whole silence, where a single window would forget
    its ends.

    Parameters
    ----------
    channel : (n,) array
        On the excitation's clock, any unit. Exact zeros at its start, where the recording began
        later, do not count.
    excitation : Excitation
        What was played.

    Returns
    -------
    QuietNoise

    Raises
    ------
    DspError
        Less than 15 ms of silence is left.
    """
    rate_hz = excitation.sample_rate_hz
    quiet = channel[: max(excitation.quiet_stop - round(_GUARD_S * rate_hz), 0)]
    sounding = np.flatnonzero(quiet)
    if sounding.size:
        quiet = quiet[sounding[0] :]
    if quiet.size < _SHORTEST_S * rate_hz:
        given, allowed = quiet.size / rate_hz, f"from {_SHORTEST_S} s"
        raise DspError("quiet_noise", "too little silence", given=given, allowed=allowed)
    mean = float(np.mean(quiet))
    power = _tapered_power(quiet - mean) * (2 / rate_hz)
    bin_hz = rate_hz / (2 * (power.size - 1))
    low_hz = 2 * rate_hz / quiet.size
    octaves = np.log2(rate_hz / 2 / low_hz)
    count = max(int(octaves * _POINTS_PER_OCTAVE), 2)
    frequency_hz = low_hz * 2 ** (np.arange(count) / _POINTS_PER_OCTAVE)
    half_hz = np.maximum(frequency_hz * (2**_OCTAVES - 1), _BINS * rate_hz / quiet.size)
    half_hz = np.minimum(half_hz, _WIDEST * frequency_hz)
    first = np.maximum(np.floor((frequency_hz - half_hz) / bin_hz), 1).astype(np.int64)
    last = np.minimum(np.ceil((frequency_hz + half_hz) / bin_hz), power.size - 1).astype(np.int64)
    total = np.concatenate([[0.0], np.cumsum(power)])
    density = (total[last + 1] - total[first]) / (last + 1 - first)
    return QuietNoise(
        frequency_hz=frequency_hz,
        density=density,
        rms=float(np.sqrt(np.mean((quiet - mean) ** 2))),
        mean=mean,
    )


def _tapered_power(quiet: Floats) -> Floats:
    size = fft.next_fast_len(quiet.size, real=True)
    size += size % 2
    spectra = fft.rfft(quiet * sine_tapers(_TAPERS, samples=quiet.size), size)
    power: Floats = np.mean(spectra.real**2 + spectra.imag**2, axis=0)
    return power
