"""Which part of a level trace is steady, and how steady that is."""

import math
from dataclasses import dataclass

import numpy as np
from scipy.special import chdtri

from dsp.arrays import Floats

_PRESENT_DB = 10.0  # below the loudest, the instrument is not on or does not run
_LOUD_STRETCHES = 5  # a knock is louder than the tone, but not for that long
_NOISE_RANGE = 6.0  # standard deviations that some hundred readings spread over
_BY_CHANCE = 1e-3
_WIDTHS = (1 / 16, 1 / 8, 1 / 4, 1 / 2, 1)


@dataclass(frozen=True, slots=True, kw_only=True)
class Settled:
    """The steadiest part of a trace.

    Attributes
    ----------
    start, stop : int
        Stretches, stop excluded.
    slope_db_per_s : float
        dB/s, of the straight line through it.
    slope_noise_db_per_s : float
        dB/s, standard deviation that noise alone gives to the slope.
    fluctuation_db : float
        dB, amplitude of a sine that would come and go as much, line and noise taken out; 0 where
        noise explains all.
    """

    start: int
    stop: int
    slope_db_per_s: float
    slope_noise_db_per_s: float
    fluctuation_db: float


def settled(
    trace_db: Floats, *, every_s: float, within_db: float, least_s: float, noise_db: float
) -> Settled:
    """Find the longest part whose level stays within a width; of equally long ones the last.

    A sixteenth of it, an eighth and so on are tried first. Taken is the narrowest in which the
    level stays for at least half as long as in the widest, and long enough: what still came to
    rest is left out.

    Parameters
    ----------
    trace_db : (m,) array
        dB, one a stretch, one or more.
    every_s : float
        s from one to the next.
    within_db : float
        dB from the lowest to the highest at most, noise aside.
    least_s : float
        s that are enough.
    noise_db : float
        dB, standard deviation that noise gives to a single one.

    Returns
    -------
    Settled
    """
    loud = np.sort(trace_db)[-min(_LOUD_STRETCHES, trace_db.size)]
    level = np.where(trace_db >= loud - _PRESENT_DB, trace_db, np.nan)
    parts = [
        _longest(level, width=narrow * within_db + _NOISE_RANGE * noise_db) for narrow in _WIDTHS
    ]
    longest = parts[-1][1] - parts[-1][0]
    enough = min(longest, max(longest / 2, round(least_s / every_s)))
    start, stop = next(part for part in parts if part[1] - part[0] >= enough)
    part = trace_db[start:stop]
    place = (np.arange(part.size) - (part.size - 1) / 2) * every_s
    moment = float(place @ place)
    slope = float(place @ part) / moment if moment else 0.0
    rest = part - np.mean(part) - slope * place
    return Settled(
        start=start,
        stop=stop,
        slope_db_per_s=slope,
        slope_noise_db_per_s=noise_db / math.sqrt(moment) if moment else math.inf,
        fluctuation_db=_fluctuation(rest, noise_db=noise_db),
    )


def _longest(level: Floats, *, width: float) -> tuple[int, int]:
    best = (0, 1)
    for start in range(level.size):
        if level.size - start < best[1] - best[0]:
            break
        rest = level[start:]
        wide = np.maximum.accumulate(rest) - np.minimum.accumulate(rest)
        outside = np.flatnonzero(~(wide <= width))
        stop = start + (int(outside[0]) if outside.size else rest.size)
        if stop - start >= best[1] - best[0] and stop > start:
            best = (start, stop)
    return best


def _fluctuation(rest: Floats, *, noise_db: float) -> float:
    degrees = rest.size - 2
    if degrees < 1:
        return 0.0
    square = float(rest @ rest)
    if square <= noise_db**2 * float(chdtri(degrees, _BY_CHANCE)):
        return 0.0
    return math.sqrt(2 * max(square / degrees - noise_db**2, 0.0))
