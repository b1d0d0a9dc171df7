"""Near field below, far field above: levels matched, delays matched, faded into one response."""

import math
from collections.abc import Mapping
from dataclasses import dataclass, replace

import numpy as np

from dsp.acoustic.level import REFERENCE_PA, UNIT
from dsp.arrays import Complexes, Floats
from dsp.curve import Curve, ValidRange
from dsp.errors import DspError
from dsp.near_field.overlap import Overlap, overlap_of
from dsp.near_field.response import Response
from dsp.number import Number
from dsp.statistics.decibel import DB_PER_NEPER

MOST_DB = 1.0  # beyond, a distance, an area or a gain is wrong rather than uncertain
_FEWEST = 4
_STRAIGHT_DEG = 60.0  # from in phase or opposed; farther off, the two don't belong together


@dataclass(frozen=True, slots=True, eq=False, kw_only=True)
class Merged:
    """One response out of two.

    Attributes
    ----------
    level : Curve
        dB re 20 µPa.
    phase : Curve
        deg, with ``delay_s`` taken out.
    delay_s : float
        s, the far field's.
    overlap : Overlap
        Where one fades into the other.
    offset : Number
        dB that the near field was raised by; with a reason where it is more than 1 dB.
    lag : Number
        s by which the near field still came late, taken out.
    inverted : bool
        Whether the near field had the other sign; it was turned.
    left_db : float
        dB, rms of what is left between the two in the overlap.
    """

    level: Curve
    phase: Curve
    delay_s: float
    overlap: Overlap
    offset: Number
    lag: Number
    inverted: bool
    left_db: float

    @property
    def curves(self) -> Mapping[str, Curve]:
        """The curves by the names that they have in a take."""
        return {"level": self.level, "level_phase": self.phase}

    @property
    def numbers(self) -> Mapping[str, Number]:
        """What was found on the way: offset, lag, what is left, delay taken out, crossover."""
        overlap = self.overlap
        chosen = "as asked" if overlap.asked else "suggested"
        return {
            "offset_db": self.offset,
            "lag_s": self.lag,
            "left_db": Number(
                value=self.left_db,
                unit="dB",
                how="rms difference left between both in the crossover",
            ),
            "delay_s": Number(value=self.delay_s, unit="s", how="of the far field, taken out"),
            "crossover_low_hz": Number(
                value=overlap.low_hz,
                unit="Hz",
                how=f"{chosen}; below ends {overlap.low_reason}",
            ),
            "crossover_high_hz": Number(
                value=overlap.high_hz,
                unit="Hz",
                how=f"{chosen}; both hold to: {overlap.high_reason}",
            ),
        }


def merge(near: Response, *, far: Response, asked_hz: tuple[float, float] | None = None) -> Merged:
    """Put a near field, scaled to the far field's distance, under a far field.

    Parameters
    ----------
    near, far : Response
        Pa for the same voltage at the same distance.
    asked_hz : (low, high) or None
        Hz, where to fade; None: suggested.

    Returns
    -------
    Merged. The far field's level counts: the near field is raised by the mean difference over
    log f. Level and phase fade straight over log f, each on its own, so that a phase that differs
    digs no hole. Uncertainty: that of the near field is replaced, as far as it is common to all
    frequencies, by the far field's in the overlap and that of the offset; between the two their
    difference counts as well.

    Raises
    ------
    DspError
        Both hold together in too narrow a span, or have too few points there, or phases that no
        delay brings together.
    """
    near, far = near.known, far.known
    overlap = overlap_of(near.valid, far=far.valid, asked_hz=asked_hz)
    inside = (far.frequency_hz >= overlap.low_hz) & (far.frequency_hz <= overlap.high_hz)
    hz = far.frequency_hz[inside]
    if hz.size < _FEWEST or hz[0] < near.frequency_hz[0] or hz[-1] > near.frequency_hz[-1]:
        span = f"{overlap.low_hz:.4g} to {overlap.high_hz:.4g} Hz"
        raise DspError("merge", f"too few points of both in {span}", given=hz.size, allowed=_FEWEST)
    # Both without the same delay: what is left of it between them is the lag.
    apart = replace(far.at(hz), delay_s=near.delay_s).logarithm() - near.at(hz).logarithm()
    level = _matched(DB_PER_NEPER * apart.real, hz=hz)
    time = _lag(apart.imag, hz=hz)
    faded = _faded(near, far=far, overlap=overlap, level=level, time=time)
    return Merged(
        level=faded[0],
        phase=faded[1],
        delay_s=far.delay_s,
        overlap=overlap,
        offset=level.offset,
        lag=Number(
            value=time.lag_s,
            unit="s",
            uncertainty=2 * time.standard_s,
            how="slope of the phase between both in the overlap",
            reason="the near field has the other sign" if time.inverted else "",
        ),
        inverted=time.inverted,
        left_db=level.left_db,
    )


@dataclass(frozen=True, slots=True)
class _Level:
    offset: Number
    left_db: float
    standard_db: float


@dataclass(frozen=True, slots=True)
class _Time:
    lag_s: float
    standard_s: float
    inverted: bool


def _matched(difference_db: Floats, *, hz: Floats) -> _Level:
    weight = np.gradient(np.log(hz))
    weight = weight / np.sum(weight)
    mean = float(np.sum(weight * difference_db))
    left = difference_db - mean
    rms = math.sqrt(float(np.sum(weight * left**2)))
    standard = rms / math.sqrt(_independent(left))
    wrong = abs(mean) > MOST_DB
    offset = Number(
        value=mean,
        unit="dB",
        uncertainty=2 * standard,
        how=f"far less near field, mean over log f, {hz[0]:.4g} Hz to {hz[-1]:.4g} Hz",
        reason="more than 1 dB: look at distance, area and gains" if wrong else "",
    )
    return _Level(offset, rms, standard)


def _lag(turned: Floats, *, hz: Floats) -> _Time:
    # A free line tells the sign by where it meets 0 Hz; then a line through there tells the lag.
    omega, weight = 2 * np.pi * hz, np.gradient(np.log(hz))
    meets = float(np.polynomial.polynomial.polyfit(omega, turned, 1, w=np.sqrt(weight))[0])
    half_turns = round(meets / math.pi)
    if abs(math.degrees(meets - half_turns * math.pi)) > _STRAIGHT_DEG:
        given = f"{math.degrees(meets) % 360:.0f} deg"
        what = "phases that no delay brings together, at 0 Hz"
        raise DspError("merge", what, given=given, allowed="near 0 or 180")
    rest = turned - half_turns * math.pi
    square = float(np.average(omega**2, weights=weight))
    lag = float(np.average(omega * rest, weights=weight)) / square
    left = rest - omega * lag
    rms = math.sqrt(float(np.average(left**2, weights=weight)))
    return _Time(lag, rms / math.sqrt(square * _independent(left)), half_turns % 2 == 1)


def _independent(left: Floats) -> float:
    # Neighbours hang together through the gate: so many of them as if they did not (first-order
    # autoregression; G. V. Bayley, J. M. Hammersley, J. R. Stat. Soc. Suppl. 8 (1946) 184).
    energy = float(np.sum(left**2))
    if energy == 0:
        return float(left.size)
    alike = max(0.0, float(np.sum(left[1:] * left[:-1])) / energy)
    return max(1.0, left.size * (1 - alike) / (1 + alike))


def _faded(
    near: Response, *, far: Response, overlap: Overlap, level: _Level, time: _Time
) -> tuple[Curve, Curve]:
    low, high = overlap.low_hz, overlap.high_hz
    hz = np.concatenate(
        [near.frequency_hz[near.frequency_hz < low], far.frequency_hz[far.frequency_hz >= low]]
    )
    below, above = near.at(hz), far.at(hz)
    share = np.clip(np.log(hz / low) / math.log(high / low), 0.0, 1.0)  # of the far field
    one, other = _on_far(below, far=above, level=level, time=time), above.logarithm()
    middle = int(np.argmin(np.abs(np.log(hz / overlap.middle_hz))))
    one += 2j * np.pi * np.round((other.imag[middle] - one.imag[middle]) / (2 * np.pi))
    joined = (1 - share) * one + share * other
    apart = np.abs(other - one) * np.sqrt(share * (1 - share))
    near_db = _near_db(below, far=above, overlap=overlap, level=level)
    near_deg = np.hypot(below.phase_deg, np.degrees(2 * np.pi * hz * time.standard_s))
    in_db = (1 - share) * near_db + share * above.level_db
    in_deg = (1 - share) * near_deg + share * above.phase_deg
    phase = np.degrees(joined.imag)
    how = f"near field below, far field above {overlap.middle_hz:.4g} Hz"
    valid = ValidRange(
        low_hz=near.valid.low_hz,
        high_hz=far.valid.high_hz,
        low_reason=near.valid.low_reason,
        high_reason=far.valid.high_reason,
    )
    return (
        Curve(
            frequency_hz=hz,
            value=20 * np.log10(np.exp(joined.real) / REFERENCE_PA),
            unit=UNIT,
            valid=valid,
            uncertainty=2 * np.hypot(in_db, DB_PER_NEPER * apart),
            how=how,
        ),
        Curve(
            frequency_hz=hz,
            value=phase - 360 * np.round(np.median(phase) / 360),
            unit="deg",
            valid=valid,
            uncertainty=2 * np.hypot(in_deg, np.degrees(apart)),
            how=f"{how}, {far.delay_s * 1000:.4f} ms taken out",
        ),
    )


def _on_far(near: Response, *, far: Response, level: _Level, time: _Time) -> Complexes:
    # The near field at the far field's level and time, with its sign; neper and radian.
    hz = near.frequency_hz
    later = 2 * np.pi * hz * (far.delay_s - near.delay_s + time.lag_s) + math.pi * time.inverted
    moved: Complexes = near.logarithm() + level.offset.value / DB_PER_NEPER + 1j * later
    return moved


def _near_db(near: Response, *, far: Response, overlap: Overlap, level: _Level) -> Floats:
    # What of the near field's uncertainty is common to all frequencies went into the offset: the
    # far field's stands for it. Its least is taken for the common part.
    held = near.valid.holds(near.frequency_hz)
    common = float(np.min(near.level_db[held])) if held.any() else 0.0
    own = np.maximum(near.level_db**2 - common**2, 0.0)
    middle = float(np.interp(overlap.middle_hz, far.frequency_hz, far.level_db))
    total: Floats = np.sqrt(own + middle**2 + level.standard_db**2)
    return total
