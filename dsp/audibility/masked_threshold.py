"""The level that a sound must pass to be heard beside tones and noise."""

from dataclasses import dataclass

import numpy as np

from dsp.arrays import Floats, read_only
from dsp.audibility.critical_bands import critical_band_rate, critical_bandwidth_hz
from dsp.audibility.hearing_threshold import hearing_threshold_db
from dsp.errors import DspError
from dsp.response.quiet_noise import QuietNoise

REFERENCE_PA = 20e-6
_BELOW_DB_PER_BARK = 27.0
_ABOVE_DB_PER_BARK, _ABOVE_HZ, _ABOVE_PER_DB = 24.0, 230.0, 0.2


@dataclass(frozen=True, slots=True, eq=False, kw_only=True)
class Maskers:
    """Steady tones that are heard at once; or p such sets.

    Attributes
    ----------
    frequency_hz : (m,) or (p, m) array
        Hz.
    level_db : array of that shape
        dB re 20 µPa; far below 0 for a tone that is none.
    """

    frequency_hz: Floats
    level_db: Floats

    def __post_init__(self) -> None:
        if self.frequency_hz.shape != self.level_db.shape:
            given = (self.frequency_hz.shape, self.level_db.shape)
            raise DspError("Maskers", "shapes differ", given=given)
        object.__setattr__(self, "frequency_hz", read_only(self.frequency_hz))
        object.__setattr__(self, "level_db", read_only(self.level_db))


def spread_power(frequency_hz: Floats, *, maskers: Maskers) -> Floats:
    """Spread tones over the critical-band rate: what they mask, in quiet.

    Parameters
    ----------
    frequency_hz : (n,) array
        Hz.
    maskers : Maskers
        Tones; may be none.

    Returns
    -------
    (n,) or (p, n) array, in units of (20 µPa)^2: excitations, added as pressures. With
    ``floor_power`` it adds up to the masked threshold, which a component's level is held against.

    Notes
    -----
    A masker of level L at f spreads with 27 dB/Bark towards low frequencies and with
    24 + 230 Hz/f - 0.2 L dB/Bark, at least 0, towards high ones. The figures go back to D. Maiwald,
    Acustica 18 (1967) 81; read here from two later accounts of them, not from the papers.

    References
    ----------
    E. Terhardt, Hearing Research 1 (1979) 155; E. Terhardt, G. Stoll, M. Seewann, J. Acoust. Soc.
    Am. 71 (1982) 679, "sound pressure level excess", which fits the threshold in quiet by a
    formula, where ``floor_power`` takes that of ISO 226.
    """
    place = critical_band_rate(frequency_hz)[:, np.newaxis]
    level_db = maskers.level_db[..., np.newaxis, :]
    away = place - critical_band_rate(maskers.frequency_hz)[..., np.newaxis, :]
    above = _ABOVE_DB_PER_BARK + _ABOVE_HZ / maskers.frequency_hz[..., np.newaxis, :]
    above = np.maximum(above - _ABOVE_PER_DB * level_db, 0.0)
    fall = np.where(away > 0, above * away, -_BELOW_DB_PER_BARK * away)
    power: Floats = np.sum(10 ** ((level_db - fall) / 20), axis=-1) ** 2
    return power


def floor_power(frequency_hz: Floats, *, noise: QuietNoise | None) -> Floats:
    """Tell what masks without any tone: the threshold in quiet, and noise in the critical band.

    Parameters
    ----------
    frequency_hz : (n,) array
        Hz.
    noise : QuietNoise or None
        Of the surroundings, Pa.

    Returns
    -------
    (n,) array, in units of (20 µPa)^2.
    """
    power: Floats = 10 ** (hearing_threshold_db(frequency_hz) / 10)
    if noise is not None:
        width = critical_bandwidth_hz(frequency_hz)
        power += noise.density_at(frequency_hz) * width / REFERENCE_PA**2
    return power
