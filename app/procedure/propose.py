"""Break points for limits that follow a curve: few, at preferred frequencies, never inside it."""

from itertools import pairwise

import numpy as np

from app.procedure.edit_masks import EditRefusedError, Side, points_of, with_limits
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
    known &= (frequency_hz >= span_hz[0] * (1 - 1e-9)) & (frequency_hz <= span_hz[1] * (1 + 1e-9))
    if known.sum() < 2:
        raise EditRefusedError("", "nothing is known of the units where the mask runs")
    hz = frequency_hz[known]
    places = _places(hz, series=series)
    sides: dict[Side, tuple[Point, ...]] = {
        side: _enclosing(hz, line[known], places=places, up=side == "upper", step=step)
        if points_of(mask, side=side)
        else ()
        for side, line in (("upper", limits.upper), ("lower", limits.lower))
    }
    return with_limits(mask, upper=sides["upper"], lower=sides["lower"])


def _places(hz: Floats, *, series: int) -> Floats:
    low, high = float(hz[0]), float(hz[-1])
    inside = preferred_frequencies(series, low_hz=low, high_hz=high)
    # The ends of what is known are ends of the mask, rounded inward to what one would type.
    ends = preferred_frequencies(80, low_hz=low, high_hz=high)
    if ends.size < 2:
        ends = np.array([low, high])
    return np.unique(np.concatenate([ends[:1], inside, ends[-1:]]))


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
    rounded = np.ceil((drawn + give) / step - 1e-9) * step
    return tuple(
        (float(f"{f:.6g}"), float(f"{sign * v:.10g}"))
        for f, v in zip(places, rounded, strict=True)
    )
