"""How far a residual stands above what can be heard, critical band by critical band."""

from dataclasses import dataclass

import numpy as np
from scipy import fft

from dsp.arrays import Bools, Floats, Ints, read_only
from dsp.audibility.critical_bands import HIGHEST_BARK, critical_band_rate
from dsp.audibility.masked_threshold import (
    REFERENCE_PA,
    Maskers,
    floor_power,
    spread_power,
)
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


@dataclass(frozen=True, slots=True, eq=False, kw_only=True)
class Ear:
    """Critical bands over the spectrum of 0.2 s, and what masks in them without any tone.

    Attributes
    ----------
    samples : int
        Length of 0.2 s.
    band_hz : (n,) array
        Hz, middle of the bands.
    first, last : (n,) arrays of int
        Lines of the spectrum in each band, the steady one left off; ``last`` is one past it.
    hiss_pa2 : (n,) array
        Pa^2, the noise in each band.
    floor : (n,) array
        Threshold in quiet with the noise, in units of (20 µPa)^2.
    """

    samples: int
    band_hz: Floats
    first: Ints
    last: Ints
    hiss_pa2: Floats
    floor: Floats

    def __post_init__(self) -> None:
        for name in ("band_hz", "first", "last", "hiss_pa2", "floor"):
            object.__setattr__(self, name, read_only(getattr(self, name)))

    def by_band(self, power: Floats) -> Floats:
        """Sum lines of a spectrum, the steady one left off.

        Parameters
        ----------
        power : (k,) array
            Any unit.

        Returns
        -------
        (n,) array, that unit.
        """
        total = np.concatenate([[0.0], np.cumsum(power)])
        out: Floats = total[self.last] - total[self.first]
        return out


def ear(*, sample_rate_hz: float, low_hz: float, high_hz: float, noise: QuietNoise) -> Ear:
    """Lay critical bands of 1 Bark, half a Bark apart, over a span.

    Parameters
    ----------
    sample_rate_hz : float
        Hz.
    low_hz, high_hz : float
        Hz, in which residuals were kept.
    noise : QuietNoise
        Of the microphone's channel.

    Returns
    -------
    Ear
    """
    length = round(INTEGRATION_S * sample_rate_hz)
    low, high = critical_band_rate(np.array([low_hz, high_hz])).tolist()
    middles = np.arange(low + 0.5, min(high, HIGHEST_BARK) - 0.5 + 1e-9, _STEP_BARK)
    hz = fft.rfftfreq(length, 1 / sample_rate_hz)[1:]
    bark = critical_band_rate(hz)
    first = np.searchsorted(bark, middles - 0.5)
    last = np.maximum(np.searchsorted(bark, middles + 0.5), first + 1)
    band_hz = np.interp(middles, bark, hz)
    total = np.concatenate([[0.0], np.cumsum(noise.density_at(hz))]) * (sample_rate_hz / length)
    return Ear(
        samples=length,
        band_hz=band_hz,
        first=first,
        last=last,
        hiss_pa2=total[last] - total[first],
        floor=floor_power(band_hz, noise=noise),
    )


def audible_excess(residual_pa: Floats, *, ear: Ear, maskers: Maskers) -> AudibleExcess:
    """Hold a residual against the masked threshold.

    Parameters
    ----------
    residual_pa : (n,) array
        Pa; a stretch shorter than 0.2 s counts by its share of it.
    ear : Ear
        For the same rate; its noise is taken off the residual, and masks.
    maskers : Maskers
        The tone and its harmonics.

    Returns
    -------
    AudibleExcess

    Notes
    -----
    The residual stands clear where it is three standard deviations of the noise's power above
    it; elsewhere that is what it may hold at most.
    """
    hiss = ear.hiss_pa2 * min(residual_pa.size / ear.samples, 1.0)
    # A band of B in T seconds of noise scatters by 1 / sqrt(B T) of its power.
    margin = _CLEAR_SPREADS * hiss / np.sqrt(ear.last - ear.first)
    stretches = _stretches(residual_pa, ear.samples)
    heard = np.max([ear.by_band(_power(one, ear.samples)) for one in stretches], axis=0)
    clear = heard - hiss > margin
    left = np.where(clear, heard - hiss, np.maximum(heard - hiss, 0) + margin)
    threshold = ear.floor + spread_power(ear.band_hz, maskers=maskers)
    excess = np.maximum(left, _NOTHING) / REFERENCE_PA**2 / threshold
    return AudibleExcess(band_hz=ear.band_hz, excess_db=10 * np.log10(excess), is_bound=~clear)


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
