"""What of a take's irregular defects can be heard, tone by tone and over a sweep."""

from dataclasses import dataclass

import numpy as np

from dsp.arrays import Bools, Floats, read_only
from dsp.audibility.audible_excess import (
    INTEGRATION_S,
    AudibleExcess,
    Ear,
    Known,
    audible_excess,
    ear,
    stretches,
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
_NONE_DB = -400.0  # a harmonic that is not there


@dataclass(frozen=True, slots=True, eq=False, kw_only=True)
class AudibleDefects:
    """The largest excess over the masked threshold, over the frequency that was played.

    Attributes
    ----------
    frequency_hz : (m,) array
        Hz, rising: the tones that were read, or the points of the sweep.
    excess_db : (m,) array
        dB; above 0 the residual is heard beside tone, harmonics and noise.
    uncertainty_db : (m,) array
        dB, k = 2; NaN at bounds.
    is_bound : (m,) bool array
        True: it is at most this.
    heard_hz : (m,) array
        Hz, the middle of the critical band in which it is heard best.
    """

    frequency_hz: Floats
    excess_db: Floats
    uncertainty_db: Floats
    is_bound: Bools
    heard_hz: Floats

    def __post_init__(self) -> None:
        for name in ("frequency_hz", "excess_db", "uncertainty_db", "is_bound", "heard_hz"):
            object.__setattr__(self, name, read_only(getattr(self, name)))


def audible_tones(
    reading: DefectReading, *, pressure: Harmonics, noise: QuietNoise, known: Known
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
    known : Known
        How well its pressures are known.

    Returns
    -------
    AudibleDefects, one point a tone; of tones played twice the one that is heard better.
    """
    if not reading.tones:
        return _none()
    listener = _ear(reading.tones[0].sample_rate_hz, noise=noise)
    found: dict[float, AudibleExcess] = {}
    for tone in reading.tones:
        hz, peak_pa = np.array([tone.frequency_hz]), np.array([tone.fundamental_pa])
        excess = audible_excess(
            stretches(tone.residual_pa, ear=listener)[np.newaxis],
            samples=np.array([tone.residual_pa.size]),
            ear=listener,
            maskers=_maskers(hz, peak_pa, pressure=pressure),
            known=known,
        )
        before = found.get(tone.frequency_hz)
        if before is None or excess.excess_db.max() > before.excess_db.max():
            found[tone.frequency_hz] = excess
    rising = sorted(found)
    return _largest(
        np.array(rising),
        AudibleExcess(
            band_hz=listener.band_hz,
            excess_db=np.concatenate([found[hz].excess_db for hz in rising]),
            uncertainty_db=np.concatenate([found[hz].uncertainty_db for hz in rising]),
            is_bound=np.concatenate([found[hz].is_bound for hz in rising]),
        ),
    )


def audible_sweep(
    sweep: SweepDefects, *, pressure: Harmonics, noise: QuietNoise, known: Known
) -> AudibleDefects:
    """Hold the residual of a sweep against the threshold that each moment of it leaves.

    Parameters
    ----------
    sweep : SweepDefects
        Of the take.
    pressure : Harmonics
        Pa, of the same take.
    noise : QuietNoise
        Of the microphone's channel.
    known : Known
        How well its pressures are known.

    Returns
    -------
    AudibleDefects, at every second point of ``sweep``: each stands for the 0.2 s about it, in
    which a fast sweep passes much of an octave.
    """
    segment, rate_hz = sweep.segment, sweep.sample_rate_hz
    hz = sweep.frequency_hz[::_EVERY]
    fundamental = np.interp(np.log(hz), np.log(pressure.frequency_hz), np.abs(pressure.fundamental))
    half = round(INTEGRATION_S * rate_hz / 2)
    middles = np.rint(segment.rate_s * np.log(hz / segment.first_hz) * rate_hz).astype(np.int64)
    first = np.maximum(middles - half, 0)
    last = np.minimum(middles + half, sweep.residual_pa.size)
    told = np.isfinite(fundamental) & (first < last)
    if not told.any():
        return _none()
    parts = np.zeros((np.count_nonzero(told), 1, 2 * half))
    for part, a, b in zip(parts[:, 0], first[told], last[told], strict=True):
        part[: b - a] = sweep.residual_pa[a:b]
    excess = audible_excess(
        parts,
        samples=(last - first)[told],
        ear=_ear(rate_hz, noise=noise),
        maskers=_maskers(hz[told], np.sqrt(2) * fundamental[told], pressure=pressure),
        known=known,
    )
    return _largest(hz[told], excess)


def _ear(sample_rate_hz: float, *, noise: QuietNoise) -> Ear:
    high_hz = min(HIGH_HZ, _HIGHEST * sample_rate_hz)
    return ear(sample_rate_hz=sample_rate_hz, low_hz=LOW_HZ, high_hz=high_hz, noise=noise)


def _maskers(hz: Floats, peak_pa: Floats, *, pressure: Harmonics) -> Maskers:
    # (p, orders): the fundamental, and the regular harmonics as strong beside it as the take has
    # them.
    away = np.abs(np.log(pressure.frequency_hz / hz[:, np.newaxis]))
    at = np.argmin(away, axis=1)
    size = np.abs(pressure.amplitude[:LOW_ORDERS, at]).T
    clear = size > _CLEAR * pressure.noise[:LOW_ORDERS, at].T  # False where nothing was read
    clear[:, 0] = True
    beside = np.divide(size, size[:, :1], out=np.zeros(size.shape), where=clear & (size > 0))
    beside[:, 0] = 1.0
    level = np.maximum(peak_pa, 1e-12)[:, np.newaxis] / np.sqrt(2) / REFERENCE_PA * beside
    orders = np.arange(1, size.shape[1] + 1)
    return Maskers(
        frequency_hz=hz[:, np.newaxis] * orders,
        level_db=20 * np.log10(np.maximum(level, 10 ** (_NONE_DB / 20))),
    )


def _largest(hz: Floats, excess: AudibleExcess) -> AudibleDefects:
    rows, best = np.arange(hz.size), np.argmax(excess.excess_db, axis=1)
    return AudibleDefects(
        frequency_hz=hz,
        excess_db=excess.excess_db[rows, best],
        uncertainty_db=excess.uncertainty_db[rows, best],
        is_bound=excess.is_bound[rows, best],
        heard_hz=excess.band_hz[best],
    )


def _none() -> AudibleDefects:
    empty = np.zeros(0)
    return AudibleDefects(
        frequency_hz=empty,
        excess_db=empty,
        uncertainty_db=empty,
        is_bound=empty.astype(bool),
        heard_hz=empty,
    )
