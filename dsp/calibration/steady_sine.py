"""A sine that an input recorded: its digital peak, and what says that it can be relied on."""

import math
from dataclasses import dataclass

import numpy as np

from dsp.arrays import Floats
from dsp.calibration.calibration import Check
from dsp.calibration.hum import rest_of
from dsp.calibration.sentence import found, minus, small
from dsp.calibration.tone import STRETCH_S, find_tone, tone_trace, turning_hz
from dsp.errors import DspError
from dsp.response.overload import overload

_LOUD = 0.7  # of the loudest stretch: the tone is there
_FEWEST = 5  # stretches of it
_MOST_WANDER_DB = 0.02  # between stretches, over the whole
_MOST_NOISE_DB = -40.0  # rest re the tone
_MOST_HUM_DB = -50.0
_NO_HUM_DB = -200.0  # stands for none
_MOST_THD_PERCENT = 1.0
_FREQUENCY_OFF = 0.01
_LEAST_PEAK = 10 ** (-60 / 20)


@dataclass(frozen=True, slots=True, kw_only=True)
class SteadySine:
    """The settled part of a recorded sine.

    Attributes
    ----------
    peak : float
        Full-scale units.
    frequency_hz : float
        Hz, by the recorder's clock.
    seconds : float
        s that were read.
    noise_percent : float
        %, standard deviation of ``peak`` from the noise around the tone.
    wander_db : float
        dB, from the highest to the lowest stretch of 0.1 s.
    thd_percent : float
        %, harmonics re fundamental.
    noise_db, hum_db : float
        dB re the tone, 20 Hz to 20 kHz; of mains and its multiples.
    mains_hz : float
        Hz, 50 or 60.
    clipped : bool
        Whether the converter ran into its rail.
    """

    peak: float
    frequency_hz: float
    seconds: float
    noise_percent: float
    wander_db: float
    thd_percent: float
    noise_db: float
    hum_db: float
    mains_hz: float
    clipped: bool


def read_steady_sine(channel: Floats, *, sample_rate_hz: float, near_hz: float) -> SteadySine:
    """Read the longest stretch in which a sine stands still.

    Parameters
    ----------
    channel : (n,) array
        Full-scale units; silence and marks before and after the sine are left out.
    sample_rate_hz : float
        Hz.
    near_hz : float
        Hz, as it was played.

    Returns
    -------
    SteadySine

    Raises
    ------
    DspError
        Silence, or less than half a second of tone.
    """
    where = "read_steady_sine"
    if not np.any(channel):
        raise DspError(where, "silence", allowed="a sine")
    hz = find_tone(channel, sample_rate_hz=sample_rate_hz, near_hz=near_hz)
    trace = tone_trace(channel, sample_rate_hz=sample_rate_hz, frequency_hz=hz)
    part = _longest(np.abs(trace.phasor))
    if part.stop - part.start < _FEWEST:
        length_s = max(0.0, (part.stop - part.start) * STRETCH_S)
        given, allowed = f"{length_s:.1f} s", f"from {_FEWEST * STRETCH_S:g} s"
        raise DspError(where, "no steady sine", given=given, allowed=allowed)
    # Once more, at the frequency that the phases tell: a tone between two frequencies reads low.
    hz += turning_hz(trace.phasor[part], every_s=STRETCH_S)
    length = round(STRETCH_S * sample_rate_hz)
    steady = channel[part.start * length : part.stop * length]
    again = tone_trace(steady, sample_rate_hz=sample_rate_hz, frequency_hz=hz)
    level = np.abs(again.phasor)
    peak = float(np.abs(np.mean(again.phasor)))
    rest = rest_of(
        again.residual.ravel(),
        sample_rate_hz=sample_rate_hz,
        tone_hz=hz,
        blind_hz=2 / STRETCH_S,
    )
    harmonics = np.mean(again.harmonics, axis=0)
    seconds = steady.size / sample_rate_hz
    return SteadySine(
        peak=peak,
        frequency_hz=hz,
        seconds=seconds,
        noise_percent=100 * math.sqrt(rest.density / seconds) / peak,
        wander_db=float(20 * np.log10(level.max() / level.min())),
        thd_percent=float(100 * np.linalg.norm(harmonics) / peak),
        noise_db=_power_db(rest.noise, peak=peak),
        hum_db=_power_db(rest.hum, peak=peak),
        mains_hz=rest.mains_hz,
        clipped=overload(channel).clipped,
    )


def sine_checks(sine: SteadySine, *, expected_hz: float) -> tuple[Check, ...]:
    """Say whether a recorded sine is fit to carry a scale.

    Parameters
    ----------
    sine : SteadySine
        As read.
    expected_hz : float
        Hz, as it was played.

    Returns
    -------
    tuple of Check
    """
    off = sine.frequency_hz / expected_hz - 1
    return (
        Check(
            name="clipped",
            passed=not sine.clipped,
            sentence="input clipped: turn it down" if sine.clipped else "input not clipped",
        ),
        Check(
            name="signal",
            passed=sine.peak >= _LEAST_PEAK,
            sentence=f"sine of {_db(20 * math.log10(sine.peak))} dB re full scale, "
            f"allowed from {_db(20 * math.log10(_LEAST_PEAK))} dB",
        ),
        Check(
            name="frequency",
            passed=abs(off) <= _FREQUENCY_OFF,
            sentence=f"tone at {sine.frequency_hz:.6g} Hz, played {expected_hz:.6g} Hz, "
            f"allowed ±{100 * _FREQUENCY_OFF:g} %",
        ),
        Check(
            name="steady",
            passed=sine.wander_db <= _MOST_WANDER_DB,
            sentence=f"level wanders by {small(sine.wander_db, least=0.001)} dB, "
            f"allowed {_MOST_WANDER_DB:g} dB",
        ),
        Check(
            name="noise",
            passed=sine.noise_db <= _MOST_NOISE_DB,
            sentence=f"noise {_db(sine.noise_db)} dB re the sine, allowed {_db(_MOST_NOISE_DB)} dB",
        ),
        Check(
            name="hum",
            passed=sine.hum_db <= _MOST_HUM_DB,
            sentence=f"hum of {sine.mains_hz:g} Hz mains {_db(sine.hum_db)} dB re the sine, "
            f"allowed {_db(_MOST_HUM_DB)} dB"
            if sine.hum_db > _NO_HUM_DB
            else "no hum of mains stands out of the noise",
        ),
        Check(
            name="distortion",
            passed=sine.thd_percent <= _MOST_THD_PERCENT,
            sentence=found(
                f"harmonics {small(sine.thd_percent, least=0.001)} %, "
                f"allowed {_MOST_THD_PERCENT:g} %",
                passed=sine.thd_percent <= _MOST_THD_PERCENT,
                otherwise="something limits",
            ),
        ),
    )


def _longest(level: Floats) -> slice:
    # The longest run of loud stretches, less one at either end, which may hold an edge.
    loud = np.concatenate([[False], level >= _LOUD * level.max(), [False]])
    edges = np.flatnonzero(loud[1:] != loud[:-1])
    begins, ends = edges[::2], edges[1::2]
    best = int(np.argmax(ends - begins))
    return slice(int(begins[best]) + 1, max(int(ends[best]) - 1, int(begins[best]) + 1))


def _power_db(power: float, *, peak: float) -> float:
    return 10 * math.log10(max(power, 1e-30) / (peak**2 / 2))


def _db(value: float) -> str:
    return minus(f"{value:.3g}")
