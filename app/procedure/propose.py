"""Break points for limits that follow a curve: few, at preferred frequencies, never inside it."""

import math
from itertools import pairwise

import numpy as np

from app.procedure.edit_masks import SIDES, EditRefusedError, Side, points_of, with_limits
from app.procedure.mask_schema import Mask, Point
from dsp import Floats
from dsp.preferred import preferred_frequencies
from dsp.statistics.tolerance import Interval


def propose(
    mask: Mask,
    *,
    frequency_hz: Floats,
    limits: Interval,
    series: int,
    span_hz: tuple[float, float],
    step: float,
) -> Mask:
    """Draw a mask's limits anew, each side that it has, so that they hold what they follow.

    Parameters
    ----------
    mask : Mask
        Over frequency; keeps everything but its points.
    frequency_hz : (n,) array
        Hz, rising.
    limits : Interval, (n,)
        What the upper limit must not lie below, the lower not above; NaN where not known.
    series : int
        Renard series of the break points: 5, 10, 20, 40 or 80 a decade.
    span_hz : (low, high)
        Hz, where the mask shall run; cut to where the limits are known.
    step : float
        In the unit of the quantity; limits are rounded to it, outward.

    Returns
    -------
    Mask

    Raises
    ------
    EditRefusedError
        Nothing is known inside the span.
    """
    known = np.isfinite(limits.lower) & np.isfinite(limits.upper)
    hz = frequency_hz[known]
    if hz.size < 2 or span_hz[0] >= hz[-1] or span_hz[1] <= hz[0]:
        raise EditRefusedError("", "nothing is known of the units where the mask runs")
    low, high = max(span_hz[0], hz[0]), min(span_hz[1], hz[-1])
    inside = np.unique(np.concatenate([[low], hz[(hz > low) & (hz < high)], [high]]))
    places = _places((low, high), asked=span_hz, series=series)
    sides: dict[Side, tuple[Point, ...]] = {
        side: _enclosing(
            inside,
            np.interp(np.log(inside), np.log(hz), line[known]),
            places=places,
            up=side == "upper",
            step=step,
        )
        if points_of(mask, side=side)
        else ()
        for side, line in zip(SIDES, (limits.upper, limits.lower), strict=True)
    }
    return with_limits(mask, upper=sides["upper"], lower=sides["lower"])


def rounded(value: float, *, step: float, up: bool) -> float:
    """Round a limit to steps, away from what it holds.

    Parameters
    ----------
    value, step : float
        In the unit of the quantity.
    up : bool
        Whether it is an upper limit.
    """
    sign = 1 if up else -1
    return float(f"{sign * math.ceil(sign * value / step - 1e-9) * step:.10g}")


def _places(known: tuple[float, float], *, asked: tuple[float, float], series: int) -> Floats:
    """Return preferred frequencies with both ends; an end that nobody asked for is rounded in."""
    near = preferred_frequencies(80, low_hz=known[0], high_hz=known[1])
    low = known[0] if known[0] == asked[0] or not near.size else near[0]
    high = known[1] if known[1] == asked[1] or not near.size else near[-1]
    inside = preferred_frequencies(series, low_hz=low, high_hz=high)
    return np.unique(np.concatenate([[low], inside, [high]]))


def _enclosing(
    hz: Floats, line: Floats, *, places: Floats, up: bool, step: float
) -> tuple[Point, ...]:
    sign = 1.0 if up else -1.0
    log, at = np.log(hz), np.log(places)
    wanted = sign * line
    drawn = np.interp(at, log, wanted)
    # Between two points the line may bulge: both ends give way by what it lacks.
    lack = wanted - np.interp(log, at, drawn)
    bulge = [
        max(0.0, float(lack[(log >= a) & (log <= b)].max(initial=0.0))) for a, b in pairwise(at)
    ]
    give = np.maximum(np.array([0.0, *bulge]), np.array([*bulge, 0.0]))
    return tuple(
        (float(f"{f:.6g}"), rounded(float(sign * v), step=step, up=up))
        for f, v in zip(places, drawn + give, strict=True)
    )
