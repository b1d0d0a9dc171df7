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
_DB_PER_POWER = 10 / np.log(10)
# The silence before the excitation tells the noise of the take to about 1 dB (k = 2).
_NOISE_KNOWN = 10 ** (1.0 / 10) - 1


@dataclass(frozen=True, slots=True, kw_only=True)
class Known:
    """How well the recording's pressures are known, k = 2.

    Attributes
    ----------
    level_db, ratio_db : float
        dB: of all of them together, and of one frequency against another.
    """

    level_db: float
    ratio_db: float


@dataclass(frozen=True, slots=True, eq=False, kw_only=True)
class AudibleExcess:
    """Level of p residuals over the masked threshold, in each critical band.

    Attributes
    ----------
    band_hz : (n,) array
        Hz, middle of the bands, half a Bark apart.
    excess_db : (p, n) array
        dB over the masked threshold, of the loudest 0.2 s; positive: heard.
    uncertainty_db : (p, n) array
        dB, k = 2, of the recording: not by how much ears differ. NaN at bounds.
    is_bound : (p, n) bool array
        True: noise hides the residual there, and the excess is at most this.
    """

    band_hz: Floats
    excess_db: Floats
    uncertainty_db: Floats
    is_bound: Bools

    def __post_init__(self) -> None:
        for name in ("band_hz", "excess_db", "uncertainty_db", "is_bound"):
            object.__setattr__(self, name, read_only(getattr(self, name)))


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
        power : (..., k) array
            Any unit.

        Returns
        -------
        (..., n) array, that unit.
        """
        # Bands overlap by half: cells between their edges are summed once.
        edges = np.union1d(self.first, self.last)
        total = np.zeros((*power.shape[:-1], edges.size))
        cells = np.add.reduceat(power[..., : edges[-1]], edges[:-1], axis=-1)
        np.cumsum(cells, axis=-1, out=total[..., 1:])
        places = np.searchsorted(edges, [self.first, self.last])
        out: Floats = total[..., places[1]] - total[..., places[0]]
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


def audible_excess(
    stretches: Floats, *, samples: Ints, ear: Ear, maskers: Maskers, known: Known
) -> AudibleExcess:
    """Hold residuals against the masked threshold.

    Parameters
    ----------
    stretches : (p, s, k) array
        Pa, of each residual s stretches of at most 0.2 s, of which the loudest counts; zeros
        where there is nothing.
    samples : (p,) array of int
        How many of k hold the recording: a stretch shorter than 0.2 s counts by its share of it.
    ear : Ear
        For the same rate; its noise is taken off the residual, and masks.
    maskers : Maskers, (p, m)
        The tones and their harmonics.
    known : Known
        How well the pressures are known.

    Returns
    -------
    AudibleExcess

    Notes
    -----
    The residual stands clear where it is three standard deviations of the noise's power above
    it; elsewhere that is what it may hold at most. A level that is wrong moves the residual and
    what masks it, by what is left of it in their ratio.
    """
    hiss = ear.hiss_pa2 * np.minimum(samples / ear.samples, 1.0)[:, np.newaxis]
    # A band of B in T seconds of noise scatters by 1 / sqrt(B T) of its power.
    lines = ear.last - ear.first
    margin = _CLEAR_SPREADS * hiss / np.sqrt(lines)
    heard = ear.by_band(_power(stretches, ear.samples)).max(axis=1)
    clear = heard - hiss > margin
    left = np.where(clear, heard - hiss, np.maximum(heard - hiss, 0) + margin)
    threshold = ear.floor + spread_power(ear.band_hz, maskers=maskers)
    louder = Maskers(frequency_hz=maskers.frequency_hz, level_db=maskers.level_db + 1.0)
    raised = ear.floor + spread_power(ear.band_hz, maskers=louder)
    moved = 1.0 - 10 * np.log10(raised / threshold)
    left = np.maximum(left, _NOTHING)
    of_noise = 2 * np.sqrt((hiss**2 + 2 * left * hiss) / lines)
    of_noise = _DB_PER_POWER * np.hypot(of_noise, _NOISE_KNOWN * hiss) / left
    of_chain = np.hypot(moved * known.level_db, known.ratio_db)
    return AudibleExcess(
        band_hz=ear.band_hz,
        excess_db=10 * np.log10(left / REFERENCE_PA**2 / threshold),
        uncertainty_db=np.where(clear, np.hypot(of_noise, of_chain), np.nan),
        is_bound=~clear,
    )


def stretches(residual_pa: Floats, *, ear: Ear) -> Floats:
    """Cut a residual into stretches of 0.2 s, half over one another, the last one to the end.

    Parameters
    ----------
    residual_pa : (n,) array
        Pa.
    ear : Ear
        For the same rate.

    Returns
    -------
    (s, k) array; a residual that is shorter is the only one.
    """
    length = ear.samples
    if residual_pa.size <= length:
        return residual_pa[np.newaxis]
    count = -(-(residual_pa.size - length) // (length // 2)) + 1
    starts = np.linspace(0, residual_pa.size - length, count).astype(np.int64)
    return np.stack([residual_pa[start : start + length] for start in starts])


def _power(stretches: Floats, length: int) -> Floats:
    # Mean square over the length, however short the stretch: one line of the spectrum each. In
    # single precision, whose rounding lies 140 dB below the loudest of them.
    lines = fft.rfft(stretches.astype(np.float32), length)[..., 1:]
    power: Floats = (lines.real**2 + lines.imag**2) * np.float64(2 / length**2)
    return power
