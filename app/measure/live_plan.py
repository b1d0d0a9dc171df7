"""Which stretches of an excitation are read while it plays, and what frequency each stands for."""

from dataclasses import dataclass

import numpy as np

from dsp import Floats
from dsp.excitation.excitation import Excitation
from dsp.excitation.segment import BroadbandSegment, LogSweepSegment, Segment, ToneSegment
from dsp.grid import log_grid

_PER_OCTAVE = 12
_PERIODS = 1.5  # fewer tell no level; the curve is to be watched, not to be judged
_LONGEST_S = 0.25  # a long tone is read again and again


@dataclass(frozen=True, slots=True, kw_only=True)
class LiveWindow:
    """One stretch in which one frequency sounds.

    Attributes
    ----------
    hz : float
        The frequency.
    start, stop : int
        First sample of the excitation, and one past the last.
    peak_v : float
        V of the drive.
    """

    hz: float
    start: int
    stop: int
    peak_v: float

    def weights(self, first: int, count: int) -> Floats:
        """Return how much each of ``count`` samples from ``first`` on counts, (count,).

        A sine's square, so that it matters little where in a period the stretch ends.
        """
        turn = (np.arange(first, first + count) - self.start) / (self.stop - self.start)
        inside = (turn > 0) & (turn < 1)
        out: Floats = np.where(inside, np.sin(np.pi * turn) ** 2, 0.0)
        return out


def live_plan(excitation: Excitation) -> tuple[LiveWindow, ...]:
    """Lay the windows out, in the order in which they begin.

    Noise, multitones and files have none: they sound at every frequency at once, and are read in
    bands.
    """
    windows = [
        window
        for segment in excitation.segments
        for window in _of(segment, sample_rate_hz=excitation.sample_rate_hz)
    ]
    return tuple(sorted(windows, key=lambda window: window.start))


def _of(segment: Segment, *, sample_rate_hz: float) -> list[LiveWindow]:
    match segment:
        case LogSweepSegment():
            return _of_sweep(segment, sample_rate_hz=sample_rate_hz)
        case ToneSegment():
            return _of_tones(segment, sample_rate_hz=sample_rate_hz)
        case BroadbandSegment():
            return []


def _of_sweep(sweep: LogSweepSegment, *, sample_rate_hz: float) -> list[LiveWindow]:
    step_s = sweep.rate_s * np.log(2) / _PER_OCTAVE
    found = []
    for hz in log_grid(low_hz=sweep.start_hz, high_hz=sweep.stop_hz, per_octave=_PER_OCTAVE):
        at_s = sweep.rate_s * np.log(hz / sweep.first_hz)
        half_s = max(step_s, _PERIODS / hz) / 2
        start = sweep.start + round((at_s - half_s) * sample_rate_hz)
        stop = sweep.start + round((at_s + half_s) * sample_rate_hz) + 1
        if sweep.start <= start and stop <= sweep.stop:
            found.append(LiveWindow(hz=float(hz), start=start, stop=stop, peak_v=sweep.peak_v))
    return found


def _of_tones(tones: ToneSegment, *, sample_rate_hz: float) -> list[LiveWindow]:
    longest = round(_LONGEST_S * sample_rate_hz)
    return [
        LiveWindow(hz=float(hz), start=start, stop=min(start + longest, int(last)), peak_v=float(v))
        for hz, first, last, v in zip(
            tones.frequency_hz, tones.hold_start, tones.hold_stop, tones.peak_v, strict=True
        )
        for start in range(int(first), int(last), longest)
        if last - start > _PERIODS * sample_rate_hz / hz
    ]
