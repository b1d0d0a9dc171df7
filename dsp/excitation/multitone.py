"""Many sines at once, on bins of one period, their phases chosen for a low crest factor."""

import numpy as np

from dsp.arrays import Floats, Ints
from dsp.errors import DspError
from dsp.excitation.allowed import require_positive, require_span
from dsp.excitation.crest import crest_db
from dsp.excitation.fade import FADE_S, faded
from dsp.excitation.low_crest import low_crest
from dsp.excitation.rendered import Rendered
from dsp.excitation.segment import BroadbandSegment

_BINS_A_STEP = 4  # bins between the two lowest lines, where the duration allows
_SHORTEST_PERIOD_S = 0.25
_HIGHEST_HARMONIC = 20


def multitone(
    *,
    sample_rate_hz: float,
    start_hz: float,
    stop_hz: float,
    per_octave: int,
    duration_s: float,
    rms_v: float,
    rng: np.random.Generator,
) -> Rendered:
    """Render sines of equal amplitude, evenly spaced over the logarithm of frequency.

    Each line lies on a bin of its own of a period that repeats at least twice: the first lets the
    unit settle, the others are read. Where a neighbouring bin allows, no line is a harmonic of
    another. Lines that would share a bin are played once, so the lowest octaves may hold fewer
    than asked for when the duration is short.

    Parameters
    ----------
    sample_rate_hz : float
        Hz.
    start_hz, stop_hz : float
        Hz, of the lowest and the highest line, to the nearest bin.
    per_octave : int
        Lines an octave.
    duration_s : float
        s, of all periods; shortened to whole ones. A ramp of 5 ms follows.
    rms_v : float
        V rms of a period, of all lines together: exact.
    rng : numpy.random.Generator
        Draws a second set of phases to start from; the first is Schroeder's.

    Returns
    -------
    Rendered, with a BroadbandSegment that names lines and period; V.

    Raises
    ------
    DspError
        A span that the rate or the duration cannot hold, no lines an octave, no level.

    References
    ----------
    M. R. Schroeder, IEEE Trans. Inf. Theory 16 (1970) 85, DOI 10.1109/TIT.1970.1054411.
    """
    require_span("multitone", start_hz=start_hz, stop_hz=stop_hz, sample_rate_hz=sample_rate_hz)
    require_positive("multitone", per_octave=per_octave, duration_s=duration_s, rms_v=rms_v)
    step_hz = start_hz * (2 ** (1 / per_octave) - 1)
    wanted_s = max(_BINS_A_STEP / step_hz, _SHORTEST_PERIOD_S)
    periods = max(2, int(duration_s / wanted_s))
    period = int(duration_s * sample_rate_hz / periods + 1e-6)
    if start_hz * period < 2 * sample_rate_hz:
        allowed = f"from {4 / start_hz:g} s: two periods of two cycles of start_hz"
        raise DspError("multitone", "duration_s too short", given=duration_s, allowed=allowed)
    lines = _lines(start_hz, stop_hz, per_octave=per_octave, bin_hz=sample_rate_hz / period)
    lines = lines[2 * lines < period]
    starts = [_schroeder(lines, period), rng.uniform(-np.pi, np.pi, lines.size)]
    waves = [low_crest(lines, period=period, phase_rad=start) for start in starts]
    best = min(waves, key=crest_db)
    ramp = int(np.ceil(FADE_S * sample_rate_hz))
    count = periods * period + ramp
    samples = best[np.arange(count) % period] * (rms_v / np.sqrt(np.mean(np.square(best))))
    frequency = lines * sample_rate_hz / period
    return Rendered(
        samples=faded(samples, fade_samples=ramp),
        segment=BroadbandSegment(
            start=0,
            stop=count,
            low_hz=float(frequency[0]),
            high_hz=float(frequency[-1]),
            frequency_hz=frequency,
            period=period,
        ),
    )


def _lines(start_hz: float, stop_hz: float, *, per_octave: int, bin_hz: float) -> Ints:
    count = max(1, round(np.log2(stop_hz / start_hz) * per_octave))
    wanted = np.geomspace(start_hz, stop_hz, count + 1) / bin_hz
    room = (2 ** (1 / per_octave) - 1) / 3
    taken: list[int] = []
    for bin_wanted in wanted:
        low = max(int(np.ceil(bin_wanted * (1 - room))), taken[-1] + 1 if taken else 1)
        near = np.arange(low, max(int(bin_wanted * (1 + room)), round(bin_wanted)) + 1)
        if not near.size:
            continue
        times = near[:, None] / np.array(taken, dtype=np.float64)
        harmonic = np.any((times % 1 == 0) & (times <= _HIGHEST_HARMONIC), axis=1)
        # A harmonic of another line counts as a whole step away: taken only where all are.
        taken.append(int(near[np.argmin(np.abs(near - bin_wanted) + harmonic * bin_wanted)]))
    return np.array(taken, dtype=np.int64)


def _schroeder(lines: Ints, period: int) -> Floats:
    # Each line gets its share of the period, so that the whole runs through it like a sweep.
    delay = period * np.arange(lines.size) / lines.size
    turns = np.concatenate([[0.0], np.cumsum(delay[:-1] * np.diff(lines) / period)])
    phase: Floats = -2 * np.pi * (turns % 1)
    return phase
