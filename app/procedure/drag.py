"""Where a break point lands that a hand or an arrow moves: snapped, rounded, never across."""

import math

from app.procedure.edit_masks import Side, move_point, points_of, snapped
from app.procedure.mask_schema import Mask, Point
from app.procedure.propose import rounded
from app.procedure.reach import reachable
from dsp.preferred import preferred_frequencies

_STICKS = 1 / 48  # octaves: a hand that moves a limit up or down does not move it along
_DIGITS = 4  # of a frequency that snaps to nothing


def dragged(
    mask: Mask, *, side: Side, index: int, to: Point, series: int | None, step: float
) -> Mask:
    """Move a break point as near to a place as it may come.

    Parameters
    ----------
    mask : Mask
        As it was when the move began.
    side, index
        The point, from 0.
    to : (Hz, value)
        Where the hand is. What did not change at all was not meant to: then the other one moves by
        a step at least, as an arrow asks for.
    series : int or None
        Renard series that frequencies snap to; None: to none.
    step : float
        Limits are rounded to it; the unit of the quantity.

    Returns
    -------
    Mask
    """
    before = points_of(mask, side=side)[index]
    hz = _along(before[0], to[0], series=series, by_arrow=math.isclose(before[1], to[1]))
    value = _across(before[1], to[1], step=step, by_arrow=math.isclose(before[0], to[0]))
    place = reachable(mask, side=side, index=index, to=(hz, value))
    if place[0] != hz and series is not None:
        place = (_inside(mask, side=side, index=index, series=series, fallback=place[0]), place[1])
        place = reachable(mask, side=side, index=index, to=place)
    if place[1] != value:  # stopped by the other limit: rounded away from it
        place = (place[0], rounded(place[1], step=step, up=side == "upper"))
    return move_point(mask, side=side, index=index, hz=place[0], value=place[1])


def _along(before: float, to: float, *, series: int | None, by_arrow: bool) -> float:
    if math.isclose(before, to, rel_tol=1e-9):
        return before
    if not by_arrow and abs(math.log2(to / before)) < _STICKS:
        return before
    if series is None:
        return float(f"{to:.{_DIGITS}g}")
    found = snapped(to, series=series)
    if by_arrow and (found - before) * (to - before) <= 0:
        return _next(before, up=to > before, series=series)
    return found


def _across(before: float, to: float, *, step: float, by_arrow: bool) -> float:
    if math.isclose(before, to):
        return before
    found = round(round(to / step) * step, 9)
    if by_arrow and (found - before) * (to - before) <= 0:
        return round(before + math.copysign(step, to - before), 9)
    return found


def _next(hz: float, *, up: bool, series: int) -> float:
    near = preferred_frequencies(series, low_hz=hz / 4, high_hz=hz * 4)
    above, below = near[near > hz * (1 + 1e-9)], near[near < hz * (1 - 1e-9)]
    return float(above[0]) if up else float(below[-1])


def _inside(mask: Mask, *, side: Side, index: int, series: int, fallback: float) -> float:
    """Return the preferred frequency next to a neighbour that stopped the point."""
    points = points_of(mask, side=side)
    low = points[index - 1][0] if index else points[index][0] / 100
    high = points[index + 1][0] if index + 1 < len(points) else points[index][0] * 100
    between = preferred_frequencies(series, low_hz=low, high_hz=high)
    between = between[(between > low * (1 + 1e-9)) & (between < high * (1 - 1e-9))]
    if not between.size:
        return points[index][0]
    return float(min(between, key=lambda one: abs(math.log(one / fallback))))
