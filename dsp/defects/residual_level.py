"""The level of the residual over time, part by part in playing order."""

from dataclasses import dataclass

import numpy as np

from dsp.arrays import Floats, read_only
from dsp.defects.reading import DefectReading

_BLOCK_S = 0.005
_REFERENCE_PA = 20e-6
_NOTHING_DB = -200.0


@dataclass(frozen=True, slots=True, eq=False, kw_only=True)
class ResidualLevel:
    """One part of what was played: the sweep, or a tone.

    Attributes
    ----------
    time_s : (n,) array
        s from the start of the excitation, middles of 5 ms.
    level_db : (n,) array
        dB re 20 µPa, rms over 5 ms; -200 for nothing.
    drive_hz : (n,) array
        Hz, what was played then.
    is_swept : bool
        Whether ``drive_hz`` runs through.
    """

    time_s: Floats
    level_db: Floats
    drive_hz: Floats
    is_swept: bool

    def __post_init__(self) -> None:
        for name in ("time_s", "level_db", "drive_hz"):
            object.__setattr__(self, name, read_only(getattr(self, name)))


def residual_levels(reading: DefectReading) -> tuple[ResidualLevel, ...]:
    """Read the level of every part.

    Parameters
    ----------
    reading : DefectReading
        Of a take.

    Returns
    -------
    tuple of ResidualLevel, in playing order; parts shorter than 5 ms are left out.
    """
    found = []
    for tone in reading.tones:
        held = _levels(tone.residual_pa, start=tone.start, rate_hz=tone.sample_rate_hz)
        hz = np.full(held[0].size, tone.frequency_hz)
        found.append(_part(*held, drive_hz=hz, is_swept=False))
    if (sweep := reading.sweep) is not None:
        held = _levels(sweep.residual_pa, start=sweep.start, rate_hz=sweep.sample_rate_hz)
        since_s = held[0] - sweep.start / sweep.sample_rate_hz
        hz = sweep.segment.first_hz * np.exp(since_s / sweep.segment.rate_s)
        found.append(_part(*held, drive_hz=hz, is_swept=True))
    return tuple(
        sorted((part for part in found if part.time_s.size), key=lambda part: float(part.time_s[0]))
    )


def _part(time_s: Floats, level_db: Floats, *, drive_hz: Floats, is_swept: bool) -> ResidualLevel:
    return ResidualLevel(time_s=time_s, level_db=level_db, drive_hz=drive_hz, is_swept=is_swept)


def _levels(residual_pa: Floats, *, start: int, rate_hz: float) -> tuple[Floats, Floats]:
    block = round(_BLOCK_S * rate_hz)
    count = residual_pa.size // block
    power = np.mean(residual_pa[: count * block].reshape(count, block) ** 2, axis=1)
    time_s = (start + (np.arange(count, dtype=np.float64) + 0.5) * block) / rate_hz
    least = 10 ** (_NOTHING_DB / 10)
    level_db: Floats = 10 * np.log10(np.maximum(power / _REFERENCE_PA**2, least))
    return time_s, level_db
