"""How far a residual stands above what can be heard, critical band by critical band."""

from dataclasses import dataclass

import numpy as np
from scipy import fft

from dsp.arrays import Bools, Floats, read_only
from dsp.audibility.critical_bands import HIGHEST_BARK, critical_band_rate
from dsp.audibility.masked_threshold import REFERENCE_PA, Maskers, masked_threshold_db
from dsp.response.quiet_noise import QuietNoise

# The ear adds energy up over about this time: shorter sounds have to be louder in proportion
# (E. Zwicker, H. Fastl, Psychoacoustics, 3rd ed. 2007, 4.4).
INTEGRATION_S = 0.2
_STEP_BARK = 0.5
_NOTHING = 1e-30  # Pa^2
_CLEAR_SPREADS = 3.0


@dataclass(frozen=True, slots=True, eq=False, kw_only=True)
class AudibleExcess:
    """Level of a residual over the masked threshold, in each critical band.

    Attributes
    ----------
    band_hz : (n,) array
        Hz, middle of the bands, half a Bark apart.
    excess_db : (n,) array
        dB over the masked threshold, of the loudest 0.2 s; positive: heard.
    is_bound : (n,) bool array
        True: noise hides the residual there, and the excess is at most this.
    """

    band_hz: Floats
    excess_db: Floats
    is_bound: Bools

    def __post_init__(self) -> None:
        for name in ("band_hz", "excess_db", "is_bound"):
            object.__setattr__(self, name, read_only(getattr(self, name)))

    @property
    def largest(self) -> int:
        """Index of the band that is heard best."""
        return int(np.argmax(self.excess_db))


def audible_excess(
    residual_pa: Floats,
    *,
    sample_rate_hz: float,
    low_hz: float,
    high_hz: float,
    maskers: Maskers,
    noise: QuietNoise,
) -> AudibleExcess:
    """Hold a residual against the masked threshold.

    Parameters
    ----------
    residual_pa : (n,) array
        Pa; a stretch shorter than 0.2 s counts by its share of it.
    sample_rate_hz : float
        Hz.
    low_hz, high_hz : float
        Hz, the span in which the residual was kept.
    maskers : Maskers
        The tone and its harmonics.
    noise : QuietNoise
        Of the same channel: its power is taken off the residual, and masks.

    Returns
    -------
    AudibleExcess

    Notes
    -----
    Bands of 1 Bark. The residual stands clear where it is three standard deviations of the
    noise's power above it; elsewhere that is what it may hold at most.
    """
    length = round(INTEGRATION_S * sample_rate_hz)
    low, high = critical_band_rate(np.array([low_hz, high_hz])).tolist()
    middles = np.arange(low + 0.5, min(high, HIGHEST_BARK) - 0.5 + 1e-9, _STEP_BARK)
    hz = fft.rfftfreq(length, 1 / sample_rate_hz)[1:]
    bark = critical_band_rate(hz)
    first = np.searchsorted(bark, middles - 0.5)
    last = np.maximum(np.searchsorted(bark, middles + 0.5), first + 1)
    inside = (hz >= low_hz) & (hz <= high_hz)

    def by_band(power: Floats) -> Floats:
        total = np.concatenate([[0.0], np.cumsum(np.where(inside, power, 0.0))])
        out: Floats = total[last] - total[first]
        return out

    hiss = by_band(noise.density_at(hz) * (sample_rate_hz / length))
    hiss *= min(residual_pa.size / length, 1.0)
    # A band of B in T seconds of noise scatters by 1 / sqrt(B T) of its power.
    spread = hiss / np.sqrt(np.maximum(last - first, 1))
    heard = np.max(
        [by_band(_power(one, length)) for one in _stretches(residual_pa, length)], axis=0
    )
    clear = heard - hiss > _CLEAR_SPREADS * spread
    left = np.where(clear, heard - hiss, np.maximum(heard - hiss, 0) + _CLEAR_SPREADS * spread)
    band_hz = np.interp(middles, bark, hz)
    level = 10 * np.log10(np.maximum(left, _NOTHING) / REFERENCE_PA**2)
    threshold = masked_threshold_db(band_hz, maskers=maskers, noise=noise)
    return AudibleExcess(band_hz=band_hz, excess_db=level - threshold, is_bound=~clear)


def _stretches(residual: Floats, length: int) -> list[Floats]:
    # Half over one another, the last one to the end.
    if residual.size <= length:
        return [residual]
    count = -(-(residual.size - length) // (length // 2)) + 1
    starts = np.linspace(0, residual.size - length, count).astype(np.int64)
    return [residual[start : start + length] for start in starts]


def _power(stretch: Floats, length: int) -> Floats:
    # Mean square over the length, however short the stretch: one line of the spectrum each.
    power: Floats = 2 * np.abs(fft.rfft(stretch, length)[1:]) ** 2 / length**2
    return power
