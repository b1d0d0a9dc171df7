"""How far a break point can be dragged: between its neighbours, never across the other limit."""

from typing import Literal

import numpy as np

from app.procedure.edit_masks import HIGHEST_HZ, LOWEST_HZ, Side, points_of
from app.procedure.mask_schema import Mask, Point
from dsp.conformity.mask import MaskLines

_APART = 2 ** (1 / 96)  # least ratio of frequencies of two points; nearer cannot be told apart


def reachable(mask: Mask, *, side: Side, index: int, to: Point) -> Point:
    """Return the place nearest to the one asked for that a break point may take.

    Parameters
    ----------
    mask : Mask
        As it is.
    side : "upper" or "lower"
        The limit whose point is dragged.
    index : int
        Of the point, from 0.
    to : (Hz, value)
        Where the hand is, limit in the unit of the quantity.

    Returns
    -------
    (Hz, value)
    """
    points = points_of(mask, side=side)
    low = points[index - 1][0] * _APART if index else LOWEST_HZ
    high = points[index + 1][0] / _APART if index + 1 < len(points) else HIGHEST_HZ
    hz = points[index][0] if low > high else float(np.clip(to[0], low, high))
    moved = (*points[:index], (hz, to[1]), *points[index + 1 :])
    edge = _edge(mask, side=side, index=index, moved=moved)
    if edge is None:
        return (hz, to[1])
    return (hz, max(to[1], edge) if side == "upper" else min(to[1], edge))


def _edge(mask: Mask, *, side: Side, index: int, moved: tuple[Point, ...]) -> float | None:
    """Return the value beyond which the limits would cross; None where nothing is in the way."""
    other: Literal["upper", "lower"] = "lower" if side == "upper" else "upper"
    if getattr(mask, other) is None:
        return None
    opposite = MaskLines(**{other: getattr(mask, other)})
    near = moved[max(index - 1, 0) : index + 2]
    within = opposite.break_hz[
        (opposite.break_hz >= near[0][0]) & (opposite.break_hz <= near[-1][0])
    ]
    places = np.unique(np.append(within, moved[index][0]))
    wall = opposite.lower_at(places) if other == "lower" else opposite.upper_at(places)
    at = np.log([point[0] for point in near])
    # The limit at each place is linear in the dragged value: share of it, and what neighbours add.
    one = np.array([1.0 if point is moved[index] else 0.0 for point in near])
    rest = np.array([0.0 if point is moved[index] else point[1] for point in near])
    share = np.interp(np.log(places), at, one)
    added = np.interp(np.log(places), at, rest)
    held = np.isfinite(wall) & (share > 1e-9)
    if not held.any():
        return None
    needed = (wall[held] - added[held]) / share[held]
    return float(needed.max() if side == "upper" else needed.min())
