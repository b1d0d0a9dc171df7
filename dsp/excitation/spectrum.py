"""How an excitation's voltage spreads over frequency, in third-octave bands."""

import numpy as np
import scipy.fft

from dsp.arrays import Floats
from dsp.bands import Bands, fractional_octave_bands
from dsp.curve import Curve, ValidRange
from dsp.excitation.excitation import Excitation

_PER_OCTAVE = 3
_LOWEST_HZ, _HIGHEST_HZ = 20.0, 20_000.0
_BELOW_LOUDEST_DB = 80.0  # what is less is leakage of the ends, not drive


def drive_spectrum(excitation: Excitation) -> Curve:
    """Find the rms voltage in each band, over the time in which its segments sound.

    A sweep that rises evenly over log f has the same in every band that it covers; noise as its
    colour says; tones only where they stand.

    Parameters
    ----------
    excitation : Excitation
        What is to be played.

    Returns
    -------
    Curve, dB re 1 V rms, at exact midbands from 20 Hz to 20 kHz below half the sample rate; NaN
    in bands more than 80 dB below the loudest.
    """
    rate_hz = excitation.sample_rate_hz
    bands = fractional_octave_bands(
        _PER_OCTAVE, low_hz=_LOWEST_HZ, high_hz=min(_HIGHEST_HZ, 0.44 * rate_hz)
    )
    power = np.zeros(bands.midband_hz.size)
    sounding = 0
    for segment in excitation.segments:
        piece = excitation.samples[segment.start : segment.stop]
        power += _band_energy(piece, sample_rate_hz=rate_hz, edges_hz=_edges(bands))
        sounding += piece.size
    power /= max(1, sounding)
    with np.errstate(divide="ignore"):
        value = 10 * np.log10(power)
    value[value < np.max(value) - _BELOW_LOUDEST_DB] = np.nan
    return Curve(
        frequency_hz=bands.midband_hz,
        value=value,
        unit="dB re 1 V",
        valid=ValidRange(low_hz=float(bands.midband_hz[0]), high_hz=float(bands.midband_hz[-1])),
        how="rms in third octaves while it sounds",
    )


def _edges(bands: Bands) -> Floats:
    out: Floats = np.append(bands.low_hz, bands.high_hz[-1])
    return out


def _band_energy(samples: Floats, *, sample_rate_hz: float, edges_hz: Floats) -> Floats:
    # Parseval: the sum of squares of the samples, parted by frequency.
    size = scipy.fft.next_fast_len(2 * samples.size, real=True)
    squares = np.abs(scipy.fft.rfft(samples, size)) ** 2 * (2 / size)
    below = np.concatenate([[0.0], np.cumsum(squares)])
    at = np.searchsorted(scipy.fft.rfftfreq(size, 1 / sample_rate_hz), edges_hz)
    out: Floats = np.diff(below[at])
    return out
