"""What a multitone finds between its lines: harmonics and intermodulation together."""

from dataclasses import dataclass

import numpy as np

from dsp.arrays import Floats
from dsp.bands import fractional_octave_bands
from dsp.curve import Curve, ValidRange
from dsp.distortion.intermodulation import HIDDEN
from dsp.distortion.order_sum import CLEAR_OF_NOISE_DB
from dsp.errors import DspError
from dsp.number import Number
from dsp.response.line_spectrum import LineSpectrum

_DB_PER_NEPER = 20 / np.log(10)
_TOP = 0.45  # of the sample rate: above, converters fold and filter
_NOTHING = 1e-24  # of the lines' power, -240 dB
_HOW = "power between the lines in third octaves re all lines together, noise power subtracted"


@dataclass(frozen=True, slots=True, eq=False, kw_only=True)
class MultitoneDistortion:
    """Band by band, and as one figure.

    Attributes
    ----------
    bands : Curve
        dB, power between the lines in each third octave re that of all lines together.
    total : Number
        %, root of the power between all lines re that of the lines.
    """

    bands: Curve
    total: Number


def multitone_distortion(
    spectrum: LineSpectrum, *, ratio_uncertainty_db: float
) -> MultitoneDistortion:
    """Sum what a channel holds at lines that were not played.

    Parameters
    ----------
    spectrum : LineSpectrum
        Of the microphone's channel.
    ratio_uncertainty_db : float
        dB, k = 2: what the chain adds between one frequency and another.

    Returns
    -------
    MultitoneDistortion, third octaves (IEC 61260-1:2014) from the lowest line to 0.45 of the
    sample rate. Noise power is subtracted; a band less than 10 dB above its noise is a bound.

    Raises
    ------
    DspError
        Nothing at the lines.

    References
    ----------
    IEC 60268-21, multi-tone distortion.
    """
    top_hz = _TOP * 2 * spectrum.bin_hz * spectrum.amplitude.size
    power = np.abs(spectrum.amplitude) ** 2
    noise = 2 * spectrum.noise**2
    # A line of true power a and noise n scatters by 2 a n + n^2, and n itself is known to n^2 at
    # worst; p = a + n.
    variance = 2 * power * noise
    between = np.ones(power.size, dtype=bool)
    between[0] = between[spectrum.played] = False
    lines = float(np.sum(power[spectrum.played]))
    if not lines > 0:
        raise DspError("multitone_distortion", "nothing at the lines")
    lowest_hz = float(spectrum.played[0]) * spectrum.bin_hz
    bands = fractional_octave_bands(3, low_hz=lowest_hz, high_hz=top_hz)
    edges = np.ceil(np.append(bands.low_hz, bands.high_hz[-1]) / spectrum.bin_hz).astype(np.int64)
    edges = np.minimum(edges, power.size)

    def summed(values: Floats) -> Floats:
        total = np.concatenate([[0.0], np.cumsum(np.where(between, values, 0.0))])
        inside: Floats = np.diff(total[edges]) / lines
        return inside

    heard, hiss, scatter = summed(power), summed(noise), np.sqrt(summed(variance) / lines)
    clear = (heard > 0) & (heard >= 10 ** (CLEAR_OF_NOISE_DB / 10) * hiss)
    told = np.maximum(np.where(clear, heard - hiss, heard + 2 * scatter), _NOTHING)
    whole = float(np.sum(heard)), float(np.sum(hiss)), float(np.sqrt(np.sum(scatter**2)))
    return MultitoneDistortion(
        bands=Curve(
            frequency_hz=bands.midband_hz,
            value=10 * np.log10(told),
            unit="dB",
            uncertainty=np.where(
                clear, np.hypot(_DB_PER_NEPER * scatter / told, ratio_uncertainty_db), np.nan
            ),
            is_bound=~clear,
            valid=ValidRange(
                low_hz=float(bands.midband_hz[0]),
                high_hz=float(bands.midband_hz[-1]),
                high_reason="Nyquist",
            ),
            how=_HOW,
        ),
        total=_total(*whole, ratio_uncertainty_db=ratio_uncertainty_db),
    )


def _total(heard: float, hiss: float, scatter: float, *, ratio_uncertainty_db: float) -> Number:
    how = "power between the lines re all lines together"
    if heard < 10 ** (CLEAR_OF_NOISE_DB / 10) * hiss or heard <= 0:
        most = 100 * float(np.sqrt(max(heard + 2 * scatter, _NOTHING)))
        return Number(value=most, unit="%", how=how + HIDDEN, is_bound=True)
    value = 100 * float(np.sqrt(heard - hiss))
    relative = float(np.hypot(scatter / (heard - hiss), ratio_uncertainty_db / _DB_PER_NEPER))
    return Number(value=value, unit="%", uncertainty=value * relative, how=how)
