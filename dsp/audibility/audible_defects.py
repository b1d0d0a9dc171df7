"""What of a take's irregular defects can be heard, tone by tone and over a sweep."""

import itertools
from dataclasses import dataclass

import numpy as np

from dsp.arrays import Bools, Floats, read_only
from dsp.audibility.audible_excess import (
    INTEGRATION_S,
    AudibleExcess,
    Ear,
    audible_excess,
    ear,
)
from dsp.audibility.masked_threshold import REFERENCE_PA, Maskers
from dsp.defects.band import HIGH_HZ, LOW_HZ
from dsp.defects.fold import LOW_ORDERS
from dsp.defects.reading import DefectReading
from dsp.defects.sweep_defects import SweepDefects
from dsp.response.harmonics import Harmonics
from dsp.response.quiet_noise import QuietNoise

_CLEAR = 3.0  # standard deviations: a harmonic below is noise, which masks already
_HIGHEST = 0.45  # of the sample rate
_EVERY = 2  # 0.2 s about one point of a fast sweep hold its neighbours, too


@dataclass(frozen=True, slots=True, eq=False, kw_only=True)
class AudibleDefects:
    """The largest excess over the masked threshold, over the frequency that was played.

    Attributes
    ----------
    frequency_hz : (m,) array
        Hz, rising: the tones that were read, or the points of the sweep.
    excess_db : (m,) array
        dB; above 0 the residual is heard beside tone, harmonics and noise.
    is_bound : (m,) bool array
        True: it is at most this.
    heard_hz : (m,) array
        Hz, the middle of the critical band in which it is heard best.
    """

    frequency_hz: Floats
    excess_db: Floats
    is_bound: Bools
    heard_hz: Floats

    def __post_init__(self) -> None:
        for name in ("frequency_hz", "excess_db", "is_bound", "heard_hz"):
            object.__setattr__(self, name, read_only(getattr(self, name)))


def audible_tones(
    reading: DefectReading, *, pressure: Harmonics, noise: QuietNoise
) -> AudibleDefects:
    """Hold the residual of every tone against the threshold that the tone itself leaves.

    Parameters
    ----------
    reading : DefectReading
        Of the take.
    pressure : Harmonics
        Pa, of the same take: tells how strong the harmonics are re the fundamental.
    noise : QuietNoise
        Of the microphone's channel.

    Returns
    -------
    AudibleDefects, one point a tone; of tones played twice the one that is heard better.
    """
    found: dict[float, AudibleExcess] = {}
    if not reading.tones:
        return _together(found)
    listener = _ear(reading.tones[0].sample_rate_hz, noise=noise)
    for tone in reading.tones:
        maskers = _maskers(tone.frequency_hz, tone.fundamental_pa, pressure=pressure)
        excess = audible_excess(tone.residual_pa, ear=listener, maskers=maskers)
        before = found.get(tone.frequency_hz)
        if before is None or excess.excess_db.max() > before.excess_db.max():
            found[tone.frequency_hz] = excess
    return _together(found)


def audible_sweep(sweep: SweepDefects, *, pressure: Harmonics, noise: QuietNoise) -> AudibleDefects:
    """Hold the residual of a sweep against the threshold that each moment of it leaves.

    Parameters
    ----------
    sweep : SweepDefects
        Of the take.
    pressure : Harmonics
        Pa, of the same take.
    noise : QuietNoise
        Of the microphone's channel.

    Returns
    -------
    AudibleDefects, at every second point of ``sweep``: each stands for the 0.2 s about it, in
    which a fast sweep passes much of an octave.
    """
    segment, rate_hz = sweep.segment, sweep.sample_rate_hz
    half = round(INTEGRATION_S * rate_hz / 2)
    first_s = segment.rate_s * np.log(sweep.frequency_hz / segment.first_hz)
    listener = _ear(rate_hz, noise=noise)
    found: dict[float, AudibleExcess] = {}
    points = zip(sweep.frequency_hz.tolist(), first_s.tolist(), strict=True)
    for hz, moment_s in itertools.islice(points, 0, None, _EVERY):
        middle = round(moment_s * rate_hz)
        part = sweep.residual_pa[max(middle - half, 0) : middle + half]
        fundamental = np.interp(
            np.log(hz), np.log(pressure.frequency_hz), abs(pressure.fundamental)
        )
        if not part.size or not np.isfinite(fundamental):
            continue
        maskers = _maskers(hz, float(np.sqrt(2) * fundamental), pressure=pressure)
        found[hz] = audible_excess(part, ear=listener, maskers=maskers)
    return _together(found)


def _ear(sample_rate_hz: float, *, noise: QuietNoise) -> Ear:
    high_hz = min(HIGH_HZ, _HIGHEST * sample_rate_hz)
    return ear(sample_rate_hz=sample_rate_hz, low_hz=LOW_HZ, high_hz=high_hz, noise=noise)


def _maskers(hz: float, peak_pa: float, *, pressure: Harmonics) -> Maskers:
    # The fundamental, and the regular harmonics as strong beside it as the take has them.
    level_db = 20 * np.log10(max(peak_pa, 1e-12) / np.sqrt(2) / REFERENCE_PA)
    levels, frequencies = [level_db], [hz]
    at = int(np.argmin(np.abs(np.log(pressure.frequency_hz / hz))))
    size = np.abs(pressure.amplitude[:LOW_ORDERS, at])
    clear = size > _CLEAR * pressure.noise[:LOW_ORDERS, at]  # False where nothing was read
    for row in np.flatnonzero(clear[1:]) + 1:
        levels.append(level_db + 20 * np.log10(size[row] / size[0]))
        frequencies.append((row + 1) * hz)
    return Maskers(frequency_hz=np.array(frequencies), level_db=np.array(levels))


def _together(found: dict[float, AudibleExcess]) -> AudibleDefects:
    rising = [found[hz] for hz in sorted(found)]
    return AudibleDefects(
        frequency_hz=np.array(sorted(found)),
        excess_db=np.array([one.excess_db[one.largest] for one in rising]),
        is_bound=np.array([one.is_bound[one.largest] for one in rising], dtype=bool),
        heard_hz=np.array([one.band_hz[one.largest] for one in rising]),
    )
