"""What one coupling of the calibrator gave: voltage, frequency, and how steady and clean it was."""

import math
from dataclasses import dataclass
from functools import partial

import numpy as np

from dsp.acoustic.level import DB_PER_NEPER
from dsp.arrays import Floats, read_only
from dsp.calibration.hum import Rest, rest_of
from dsp.calibration.settle import Settled, settled
from dsp.calibration.tone import (
    STRETCH_S,
    ToneTrace,
    find_tone,
    tone_trace,
    turning_hz,
    wandering_hz,
)
from dsp.errors import DspError
from dsp.response.overload import overload

LEAST_S = 1.0  # of a recording, before anything is said about it
_NOTHING, _NOTHING_DB = 1e-20, 200.0  # a part of the tone's power that is none


@dataclass(frozen=True, slots=True, eq=False, kw_only=True)
class MicrophoneReading:
    """One coupling, heard by the microphone.

    Attributes
    ----------
    trace_s : (m,) array
        s from the start of the recording, middles of short stretches; for a plot.
    trace_db : (m,) array
        dB re 1 V rms at the microphone, the tone alone.
    settled_s : (start, stop)
        s, the part that was read; as long as nothing else held, the best there was.
    voltage_v : float
        V rms at the microphone's output.
    frequency_hz : float
        Hz, as found.
    noise_db : float
        dB, standard deviation that noise gives to the level.
    slope_db_per_s : float
        dB/s over the settled part.
    slope_noise_db_per_s : float
        dB/s, standard deviation of the slope that noise alone gives.
    fluctuation_db : float
        dB, half of what the level comes and goes by over the settled part, slope and noise out.
    snr_db : float
        dB, tone over noise, 20 Hz to 20 kHz or half the rate.
    distortion_percent : float
        %, harmonics over the tone.
    distortion_and_noise_percent : float
        %, everything but the tone over everything.
    hum_db : float
        dB re the tone, mains and its multiples; -200 where none stands out of the noise.
    hum_under_tone_db : float
        dB, standard deviation that hum at the tone's own frequency gives to the level.
    mains_hz : float
        Hz, 50 or 60, whichever is louder.
    clipped : bool
        Whether the converter ran into its rail, in the settled part.
    """

    trace_s: Floats
    trace_db: Floats
    settled_s: tuple[float, float]
    voltage_v: float
    frequency_hz: float
    noise_db: float
    slope_db_per_s: float
    slope_noise_db_per_s: float
    fluctuation_db: float
    snr_db: float
    distortion_percent: float
    distortion_and_noise_percent: float
    hum_db: float
    hum_under_tone_db: float
    mains_hz: float
    clipped: bool

    def __post_init__(self) -> None:
        object.__setattr__(self, "trace_s", read_only(self.trace_s))
        object.__setattr__(self, "trace_db", read_only(self.trace_db))

    @property
    def settled_for_s(self) -> float:
        """s, length of the part that was read."""
        return self.settled_s[1] - self.settled_s[0]

    @property
    def drifts(self) -> bool:
        """Whether the slope is one: neither noise nor a coming and going would make it."""
        by_noise = 4 * self.slope_noise_db_per_s
        by_wandering = self.fluctuation_db / self.settled_for_s
        return abs(self.slope_db_per_s) > max(by_noise, by_wandering)


def read_coupling(
    samples: Floats,
    *,
    sample_rate_hz: float,
    near_hz: float,
    volt: float,
    within_db: float,
    least_s: float,
) -> MicrophoneReading:
    """Read one recording of an instrument on the microphone.

    The level is the mean over the settled part of sines fitted to a tenth of a second each, at the
    frequency found there: an instrument whose frequency wanders loses nothing by it.

    Parameters
    ----------
    samples : (n,) array
        Full-scale units; the instrument may be put on and taken off while it is recorded.
    sample_rate_hz : float
        Hz.
    near_hz : float
        Hz, as the instrument states it.
    volt : float
        V at the microphone for digital 1.0.
    within_db : float
        dB from the lowest to the highest level that still counts as settled.
    least_s : float
        s of a steady level that are enough.

    Returns
    -------
    MicrophoneReading

    Raises
    ------
    DspError
        Not one channel, too short, silent, or not a number.
    """
    _check(samples, sample_rate_hz=sample_rate_hz)
    rough_hz = find_tone(samples, sample_rate_hz=sample_rate_hz, near_hz=near_hz)
    rough = tone_trace(samples, sample_rate_hz=sample_rate_hz, frequency_hz=rough_hz)
    steady = partial(_steady, within_db=within_db, least_s=least_s)
    first = steady(rough, noise_db=_white_noise_db(rough))
    # Once more at the frequency that each stretch itself has, and with the steady part's own noise.
    trace = tone_trace(
        samples,
        sample_rate_hz=sample_rate_hz,
        frequency_hz=rough_hz,
        above_hz=wandering_hz(rough),
    )
    left = _what_is_left(trace, part=first, sample_rate_hz=sample_rate_hz)
    part = steady(trace, noise_db=left.noise_db(STRETCH_S))
    if (part.start, part.stop) != (first.start, first.stop):
        left = _what_is_left(trace, part=part, sample_rate_hz=sample_rate_hz)
    length = trace.residual.shape[1]
    above_hz = turning_hz(trace.phasor[part.start : part.stop], every_s=STRETCH_S)
    return MicrophoneReading(
        trace_s=trace.middle_s.copy(),
        trace_db=_decibel(np.abs(trace.phasor) * (volt / math.sqrt(2))),
        settled_s=(part.start * STRETCH_S, part.stop * STRETCH_S),
        voltage_v=left.level * volt / math.sqrt(2),
        frequency_hz=rough_hz + above_hz,
        noise_db=left.noise_db((part.stop - part.start) * STRETCH_S),
        slope_db_per_s=part.slope_db_per_s,
        slope_noise_db_per_s=part.slope_noise_db_per_s,
        fluctuation_db=part.fluctuation_db,
        snr_db=_ratio_db(left.tone, left.rest.noise),
        distortion_percent=100 * math.sqrt(left.harmonics / left.tone),
        distortion_and_noise_percent=left.everything_else_percent,
        hum_db=-_ratio_db(left.tone, left.rest.hum),
        hum_under_tone_db=DB_PER_NEPER * math.sqrt(left.rest.hidden / left.tone / 2),
        mains_hz=left.rest.mains_hz,
        clipped=overload(samples[part.start * length : part.stop * length]).clipped,
    )


@dataclass(frozen=True, slots=True, kw_only=True)
class _Left:
    # Peak level of the tone; powers of the tone, of its harmonics and of the rest.
    level: float
    tone: float
    harmonics: float
    rest: Rest

    def noise_db(self, duration_s: float) -> float:
        # Variance of a fitted amplitude: the density around it over the duration.
        return DB_PER_NEPER * math.sqrt(self.rest.density / duration_s) / self.level

    @property
    def everything_else_percent(self) -> float:
        other = self.harmonics + self.rest.hum + self.rest.noise
        return 100 * math.sqrt(other / (other + self.tone))


def _what_is_left(trace: ToneTrace, *, part: Settled, sample_rate_hz: float) -> _Left:
    inside = slice(part.start, part.stop)
    level = float(np.mean(np.abs(trace.phasor[inside])))
    residual = trace.residual[inside]
    # A harmonic that is not there reads as noise: its mean power is taken off again.
    heard = np.mean(np.abs(trace.harmonics[inside]) ** 2, axis=0) / 2
    by_noise = float(np.mean(residual**2)) * trace.spread**2
    return _Left(
        level=level,
        tone=level**2 / 2,
        harmonics=float(np.sum(np.maximum(heard - by_noise, 0.0))),
        rest=rest_of(
            residual.reshape(-1),
            sample_rate_hz=sample_rate_hz,
            tone_hz=trace.frequency_hz,
            blind_hz=1.2 / STRETCH_S,
        ),
    )


def _steady(trace: ToneTrace, *, within_db: float, least_s: float, noise_db: float) -> Settled:
    return settled(
        _decibel(np.abs(trace.phasor)),
        every_s=STRETCH_S,
        within_db=within_db,
        least_s=least_s,
        noise_db=noise_db,
    )


def _white_noise_db(trace: ToneTrace) -> float:
    # Of one stretch, as if all that is left were white noise; the median forgets who knocks.
    sigma = math.sqrt(float(np.median(np.mean(trace.residual**2, axis=1))))
    return DB_PER_NEPER * sigma * trace.spread / float(np.max(np.abs(trace.phasor)))


def _decibel(amplitude: Floats) -> Floats:
    level: Floats = 20 * np.log10(np.maximum(amplitude, np.finfo(np.float64).tiny))
    return level


def _ratio_db(power: float, over: float) -> float:
    return 10 * math.log10(power / over) if over > power * _NOTHING else _NOTHING_DB


def _check(samples: Floats, *, sample_rate_hz: float) -> None:
    where = "microphone calibration"
    if samples.ndim != 1:
        raise DspError(where, "not one channel", given=samples.shape, allowed="(n,)")
    if samples.size < LEAST_S * sample_rate_hz:
        given, allowed = f"{samples.size / sample_rate_hz:g} s", f"from {LEAST_S:g} s"
        raise DspError(where, "recording too short", given=given, allowed=allowed)
    if not np.isfinite(samples).all():
        raise DspError(where, "not numbers", given="NaN or infinity", allowed="finite samples")
    if not np.any(samples != samples[0]):
        raise DspError(where, "recording is silent", allowed="the instrument's tone")
