"""Sound pressure level of the silence before an excitation, in third-octave bands and overall."""

from dataclasses import dataclass

import numpy as np
import scipy.fft

from dsp.acoustic.level import DB_PER_NEPER, REFERENCE_PA, UNIT
from dsp.arrays import Floats
from dsp.bands import fractional_octave_bands
from dsp.curve import Curve, ValidRange
from dsp.errors import DspError
from dsp.number import Number
from dsp.response.tapers import sine_tapers

_TAPERS = 3
_LOWEST_HZ, _HIGHEST_HZ = 20.0, 20_000.0


@dataclass(frozen=True, slots=True, eq=False, kw_only=True)
class NoiseLevel:
    """Level of the silence at the microphone.

    Attributes
    ----------
    bands : Curve
        dB re 20 µPa in each third-octave band, at exact midbands, unweighted.
    overall : Number
        dB re 20 µPa, all these bands together.
    """

    bands: Curve
    overall: Number


def noise_level(quiet_pa: Floats, *, sample_rate_hz: float, chain_db: float = 0.0) -> NoiseLevel:
    """Measure the silence.

    The power density is the mean of three sine-tapered spectra of the whole record
    (`dsp.response.tapers`): low leakage, and nearly all of the record counts. A band starts to be
    told where it is twice as wide as the tapers resolve.

    Parameters
    ----------
    quiet_pa : (n,) array
        Pa at the microphone while nothing is played; its mean is taken off.
    sample_rate_hz : float
        Hz.
    chain_db : float
        dB, standard uncertainty of the pressure channel.

    Returns
    -------
    NoiseLevel; uncertainties expanded, k = 2: a band of width B in T seconds of Gaussian noise
    scatters by 4.34 dB / sqrt(B T), added in power to ``chain_db``. Bands (IEC 61260-1:2014)
    below half the sample rate and up to 20 kHz.

    Raises
    ------
    DspError
        A record so short that no band can be told, or one with gaps.
    """
    duration_s = quiet_pa.size / sample_rate_hz
    if not np.all(np.isfinite(quiet_pa)):
        raise DspError("noise_level", "the silence has gaps")
    bands = fractional_octave_bands(3, low_hz=_LOWEST_HZ, high_hz=_HIGHEST_HZ)
    resolved = (bands.high_hz - bands.low_hz) * duration_s >= _TAPERS + 1
    kept = resolved & (bands.high_hz <= sample_rate_hz / 2)
    if not kept.any():
        raise DspError("noise_level", "silence too short", given=f"{duration_s:.3g} s")
    low, high, middle = bands.low_hz[kept], bands.high_hz[kept], bands.midband_hz[kept]
    power = _band_power(quiet_pa, sample_rate_hz=sample_rate_hz, low_hz=low, high_hz=high)
    scatter = 1 / np.sqrt((high - low) * duration_s)  # relative, of a band's power
    total = float(np.sum(power))
    total_scatter = float(np.sqrt(np.sum((power * scatter) ** 2)) / total) if total else 0.0
    with np.errstate(divide="ignore"):
        value = 10 * np.log10(power / REFERENCE_PA**2)
        overall = float(10 * np.log10(np.float64(total) / REFERENCE_PA**2))
    return NoiseLevel(
        bands=Curve(
            frequency_hz=middle,
            value=value,
            unit=UNIT,
            uncertainty=2 * np.hypot(DB_PER_NEPER / 2 * scatter, chain_db),
            valid=ValidRange(
                low_hz=float(middle[0]),
                high_hz=float(middle[-1]),
                low_reason="excitation" if resolved[0] else "short silence",
                high_reason="excitation" if kept[-1] else "Nyquist",
            ),
            how=f"third-octave bands of {duration_s:.3g} s of silence",
        ),
        overall=Number(
            value=overall,
            unit=UNIT,
            uncertainty=2 * float(np.hypot(DB_PER_NEPER / 2 * total_scatter, chain_db)),
            how=f"{low[0]:.0f} Hz to {high[-1]:.0f} Hz, unweighted",
        ),
    )


def _band_power(
    quiet_pa: Floats, *, sample_rate_hz: float, low_hz: Floats, high_hz: Floats
) -> Floats:
    # Mean square in each band, Pa2; a bin is split where an edge falls inside it.
    n = quiet_pa.size
    whole = scipy.fft.next_fast_len(n, real=True)
    taper = sine_tapers(_TAPERS, samples=n)
    spectrum = scipy.fft.rfft(taper * (quiet_pa - np.mean(quiet_pa)), whole)
    density = np.mean(np.abs(spectrum) ** 2, axis=0) * 2 / sample_rate_hz
    step_hz = sample_rate_hz / whole
    edges = (np.arange(density.size + 1) - 0.5) * step_hz
    below = np.concatenate([[0.0], np.cumsum(density) * step_hz])
    power: Floats = np.interp(high_hz, edges, below) - np.interp(low_hz, edges, below)
    return power
