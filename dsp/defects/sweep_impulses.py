"""Impulses in the residual of a sweep, which has no periods to compare one by one."""

from dataclasses import dataclass

import numpy as np

from dsp.arrays import Bools, Floats
from dsp.defects.disturbed import Disturbed
from dsp.defects.impulses import Impulses
from dsp.defects.impulses_found import Crossings, crossings, gathered
from dsp.excitation.segment import LogSweepSegment

_BLOCK_S = 0.04  # in which the middle of the energy is what impulses stand out of
_AFTER_START = 1.0  # periods
_SAME_PLACE = 0.08  # of a period: what comes there again a period on repeats
_ALONE = 1.5  # periods to either side without another
_SHADOW_S = 0.03  # what rings passes the threshold again
_MOST_RINGING = 3  # rings in a sweep; more are the unit's own


@dataclass(frozen=True, slots=True, eq=False, kw_only=True)
class SweepImpulses:
    """What counts, and what rang from outside."""

    impulses: Impulses
    ringing: tuple[Disturbed, ...]


def sweep_impulses(
    white: Floats,
    *,
    held: Floats,
    clean: Bools,
    segment: LogSweepSegment,
    sample_rate_hz: float,
    start: int,
) -> SweepImpulses:
    """Find the impulses of a sweep that do not come again a period of the drive later.

    Parameters
    ----------
    white, held : (n,) arrays
        The residual with the noise made alike over the band, and in Pa.
    clean : (n,) bool array
        False where the ambient channel told of something else.
    segment : LogSweepSegment
        What was played, from sample 0 on.
    sample_rate_hz : float
        Hz.
    start : int
        Sample of the excitation at which the residual begins.

    Returns
    -------
    SweepImpulses
    """
    rate_hz = sample_rate_hz
    energy = gathered(white, sample_rate_hz=rate_hz)
    found = crossings(energy, level=_middle(energy, rate_hz=rate_hz), sample_rate_hz=rate_hz)
    turns = _turns(found, segment=segment, rate_hz=rate_hz)
    # The sweep's start is a step in every order: its ringing is no impulse of the unit.
    once = clean[found.peak] & ~_repeats(turns) & (turns > _AFTER_START)
    ringing = once & ~found.is_short & _alone(turns)
    if np.count_nonzero(ringing) > _MOST_RINGING:
        ringing[:] = False
    counts = once & ~ringing
    for last in found.last[ringing]:
        behind = found.first - last
        counts &= ~((behind > 0) & (behind < _SHADOW_S * rate_hz))
    near = round(0.3e-3 * rate_hz)
    size = np.array([np.max(np.abs(held[max(k - near, 0) : k + near + 1])) for k in found.peak])
    return SweepImpulses(
        impulses=Impulses(
            time_s=(start + found.peak[counts]) / rate_hz,
            peak_pa=size[counts],
            duration_s=(found.last - found.first)[counts] / rate_hz,
            is_short=found.is_short[counts],
            drive_hz=swept_hz(segment, time_s=found.peak[counts] / rate_hz),
        ),
        ringing=tuple(
            Disturbed(
                start_s=float((start + first) / rate_hz),
                stop_s=float((start + last) / rate_hz + _SHADOW_S / 2),
                told_by="ringing",
            )
            for first, last in zip(found.first[ringing], found.last[ringing], strict=True)
        ),
    )


def swept_hz(segment: LogSweepSegment, *, time_s: Floats) -> Floats:
    """Tell what a sweep plays.

    Parameters
    ----------
    segment : LogSweepSegment
        The sweep.
    time_s : (n,) array
        s from its start.

    Returns
    -------
    (n,) array, Hz.
    """
    out: Floats = segment.first_hz * np.exp(time_s / segment.rate_s)
    return out


def _middle(energy: Floats, *, rate_hz: float) -> Floats:
    block = max(round(_BLOCK_S * rate_hz), 1)
    count = max(energy.size // block, 1)
    length = energy.size // count
    medians = np.median(energy[: count * length].reshape(count, length), axis=1)
    centres = (np.arange(count) + 0.5) * length
    # Never below the whole's: a quiet stretch would make impulses of its own noise.
    level: Floats = np.interp(np.arange(energy.size), centres, medians)
    return np.maximum(level, np.median(energy))


def _turns(found: Crossings, *, segment: LogSweepSegment, rate_hz: float) -> Floats:
    # Of the drive, from its start to each impulse.
    rate_s = segment.rate_s
    out: Floats = segment.first_hz * rate_s * np.expm1(found.peak / (rate_hz * rate_s))
    return out


def _repeats(turns: Floats) -> Bools:
    apart = np.abs(turns[:, None] - turns[None, :])
    return np.asarray(np.any(np.abs(apart - 1) < _SAME_PLACE, axis=1), dtype=bool)


def _alone(turns: Floats) -> Bools:
    # What the unit does once it does again soon, not always at the same place.
    gaps = np.diff(turns, prepend=-np.inf, append=np.inf)
    return np.asarray((gaps[:-1] > _ALONE) & (gaps[1:] > _ALONE), dtype=bool)
