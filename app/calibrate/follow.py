"""Follow a calibrator's tone while it is recorded: its level, and how long it has stood still."""

import math
from dataclasses import dataclass, replace

import numpy as np

from dsp import Floats, read_only
from dsp.acoustic.level import REFERENCE_PA
from dsp.calibration.instrument import Instrument
from dsp.calibration.tone import STRETCH_S, find_tone, tone_trace
from dsp.errors import DspError
from hardware.chain.schema import PressureInput

SETTLED_S = 5.0  # of a steady level that are asked for
PATIENCE_S = 20.0  # from when the tone is first heard: what has not settled by then will not
_LEAST_SNR_DB = 15.0  # of one stretch: less is no tone
_FAR_BELOW_DB = 45.0  # below what the instrument gives nothing is taken for it
_LOOK_S = 0.5  # of the recording in which the tone is looked for
_GONE = 5  # stretches without it: it was taken off
_KEPT_BEFORE_S = 0.3  # of silence before the tone, kept with it


@dataclass(frozen=True, slots=True, eq=False, kw_only=True)
class Followed:
    """How far a coupling has come.

    Attributes
    ----------
    time_s, level_db : (m,) array
        s since it was listened for; dB re 20 µPa by the sensitivity that the chain states.
    heard : bool
        Whether the tone is there now.
    waits_for_silence : bool
        Whether the instrument has still to be taken off, so that this is another coupling.
    frequency_hz : float
        Hz, where the tone is; NaN while it is not heard.
    steady_s, needed_s : float
        s for which the level has stood still until now, and for which it has to.
    box_from_s : float
        s at which the steady part begins.
    box_db : (low, high)
        dB that it has to stay between; NaN while nothing is heard.
    sensitivity_v_per_pa : float
        V/Pa that the level of now amounts to; NaN while nothing is heard.
    """

    time_s: Floats
    level_db: Floats
    heard: bool = False
    waits_for_silence: bool = False
    frequency_hz: float = math.nan
    steady_s: float = 0.0
    needed_s: float = SETTLED_S
    box_from_s: float = 0.0
    box_db: tuple[float, float] = (math.nan, math.nan)
    sensitivity_v_per_pa: float = math.nan

    def __post_init__(self) -> None:
        object.__setattr__(self, "time_s", read_only(self.time_s))
        object.__setattr__(self, "level_db", read_only(self.level_db))

    @property
    def settled(self) -> bool:
        """Whether it has stood still for long enough."""
        return self.steady_s >= self.needed_s - STRETCH_S / 2


NOTHING_YET = Followed(time_s=np.empty(0), level_db=np.empty(0))


class Follower:
    """Takes samples as they come; looks at them a tenth of a second at a time.

    Parameters
    ----------
    wired : PressureInput
        The microphone as the chain states it.
    instrument : Instrument
        What is expected.
    expected_db : float
        dB re 20 µPa that it gives in this air.
    sample_rate_hz : float
        Hz.
    after_silence : bool
        Whether the tone counts only after it was gone: the coupling before is still on.
    """

    def __init__(
        self,
        wired: PressureInput,
        *,
        instrument: Instrument,
        expected_db: float,
        sample_rate_hz: float,
        after_silence: bool,
    ) -> None:
        self._wired, self._instrument, self._rate = wired, instrument, sample_rate_hz
        self._expected_db = expected_db
        self._length = round(STRETCH_S * sample_rate_hz)
        self._look = round(_LOOK_S * sample_rate_hz)
        self._rest: Floats = np.empty(0)
        self._last: Floats = np.empty(0)  # what the tone is looked for in
        self._levels: list[float] = []
        self._first: int | None = None  # stretch in which the tone came
        self._missing = 0
        self.now = replace(NOTHING_YET, waits_for_silence=after_silence)

    @property
    def begins_s(self) -> float:
        """Moment at which what is kept of the recording begins, s."""
        first = 0 if self._first is None else self._first
        return max(0.0, first * STRETCH_S - _KEPT_BEFORE_S)

    @property
    def is_done(self) -> bool:
        """Whether more listening tells no more: it has settled, or it never will."""
        if self._first is None:
            return False
        return self.now.settled or (len(self._levels) - self._first) * STRETCH_S >= PATIENCE_S

    def add(self, fresh: Floats) -> bool:
        """Take what was recorded since the last time.

        Parameters
        ----------
        fresh : (n,) array
            Full-scale units, of the microphone's input.

        Returns
        -------
        bool, whether there is anything new to tell.
        """
        waiting = np.concatenate([self._rest, fresh])
        count = waiting.size // self._length
        self._rest = waiting[count * self._length :].copy()
        for one in np.split(waiting[: count * self._length], count) if count else ():
            if not self.is_done:
                self._add_stretch(one)
        return bool(count)

    def _add_stretch(self, one: Floats) -> None:
        self._last = np.concatenate([self._last, one])[-self._look :]
        hz, level_db, snr_db = self._heard(one)
        self._levels.append(level_db)
        heard = snr_db >= _LEAST_SNR_DB and level_db >= self._expected_db - _FAR_BELOW_DB
        waits = self._wait(heard=heard)
        self.now = self._seen(heard=heard and not waits, hz=hz, waits=waits)

    def _heard(self, one: Floats) -> tuple[float, float, float]:
        """Return frequency in Hz, level in dB re 20 µPa, and tone over the rest in dB."""
        try:
            hz = find_tone(
                self._last, sample_rate_hz=self._rate, near_hz=self._instrument.frequency_hz
            )
            # With its harmonics: a clipped tone is a tone, and is refused for what it is.
            trace = tone_trace(one, sample_rate_hz=self._rate, frequency_hz=hz)
        except DspError:  # nothing at all, such as the zeros of a muted input
            return math.nan, -math.inf, -math.inf
        tone = float(np.mean(np.abs(trace.phasor) ** 2) / 2)
        rest = float(np.mean(trace.residual**2))
        volts = math.sqrt(tone) * self._wired.full_scale_v / self._wired.preamplifier_gain
        pressure = volts / self._wired.sensitivity_v_per_pa
        over = math.sqrt(tone / rest) if rest else math.inf
        return hz, _db(pressure / REFERENCE_PA), _db(over)

    def _wait(self, *, heard: bool) -> bool:
        self._missing = 0 if heard else self._missing + 1
        if self._missing >= _GONE:
            self._first = None
            return False
        waits = self.now.waits_for_silence
        if heard and not waits and self._first is None:
            self._first = len(self._levels) - 1
        return waits

    def _seen(self, *, heard: bool, hz: float, waits: bool) -> Followed:
        levels = np.asarray(self._levels)
        seen = Followed(
            time_s=(np.arange(levels.size, dtype=np.float64) + 0.5) * STRETCH_S,
            level_db=np.where(np.isfinite(levels), levels, np.nan),
            waits_for_silence=waits,
        )
        if not heard or self._first is None:
            return seen
        wide = self._instrument.limits.settled_within_db
        part = levels[self._first :]
        back = part[::-1]
        spread = np.maximum.accumulate(back) - np.minimum.accumulate(back)
        count = int(np.searchsorted(spread, wide, side="right"))
        steady = back[:count]
        middle = float(steady.max() + steady.min()) / 2
        off_db = float(levels[-1]) - self._expected_db
        return replace(
            seen,
            heard=True,
            frequency_hz=hz,
            steady_s=count * STRETCH_S,
            box_from_s=(levels.size - count) * STRETCH_S,
            box_db=(middle - wide / 2, middle + wide / 2),
            sensitivity_v_per_pa=self._wired.sensitivity_v_per_pa * 10 ** (off_db / 20),
        )


def _db(ratio: float) -> float:
    return 20 * math.log10(ratio) if ratio > 0 else -math.inf
