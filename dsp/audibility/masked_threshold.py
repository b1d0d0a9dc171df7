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
    """Steady tones that are heard at once.

    Attributes
    ----------
    frequency_hz : (m,) array
        Hz.
    level_db : (m,) array
        dB re 20 µPa.
    """

    frequency_hz: Floats
    level_db: Floats

    def __post_init__(self) -> None:
        if self.frequency_hz.shape != self.level_db.shape or self.frequency_hz.ndim != 1:
            given = (self.frequency_hz.shape, self.level_db.shape)
            raise DspError("Maskers", "shapes differ", given=given)
        object.__setattr__(self, "frequency_hz", read_only(self.frequency_hz))
        object.__setattr__(self, "level_db", read_only(self.level_db))


def masked_threshold_db(
    frequency_hz: Floats, *, maskers: Maskers, noise: QuietNoise | None = None
) -> Floats:
    """Give the masked threshold.

    Parameters
    ----------
    frequency_hz : (n,) array
        Hz.
    maskers : Maskers
        Tones; may be none.
    noise : QuietNoise or None
        Of the surroundings, Pa; what of it falls into a critical band masks there.

    Returns
    -------
    (n,) array, dB re 20 µPa: what a component's level is held against, the sum of the tones'
    excitation (added as pressures), the noise in the critical band and the threshold in quiet.

    Notes
    -----
    A masker of level L at f spreads with 27 dB/Bark towards low frequencies and with
    24 + 230 Hz/f - 0.2 L dB/Bark, at least 0, towards high ones: figures from memory of the
    reference. The threshold in quiet is that of ISO 226, where the reference fits a formula.

    References
    ----------
    E. Terhardt, Hearing Research 1 (1979) 155; E. Terhardt, G. Stoll, M. Seewann, J. Acoust. Soc.
    Am. 71 (1982) 679, "sound pressure level excess".
    """
    power = spread_power(frequency_hz, maskers=maskers) + floor_power(frequency_hz, noise=noise)
    threshold: Floats = 10 * np.log10(power)
    return threshold


def spread_power(frequency_hz: Floats, *, maskers: Maskers) -> Floats:
    """Spread tones over the critical-band rate.

    Parameters
    ----------
    frequency_hz : (n,) array
        Hz.
    maskers : Maskers
        Tones; may be none.

    Returns
    -------
    (n,) array, in units of (20 µPa)^2.
    """
    place = critical_band_rate(frequency_hz)[:, None]
    away = place - critical_band_rate(maskers.frequency_hz)
    above = _ABOVE_DB_PER_BARK + _ABOVE_HZ / maskers.frequency_hz
    above = np.maximum(above - _ABOVE_PER_DB * maskers.level_db, 0.0)
    fall = np.where(away > 0, above * away, -_BELOW_DB_PER_BARK * away)
    power: Floats = np.sum(10 ** ((maskers.level_db - fall) / 20), axis=1) ** 2
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
