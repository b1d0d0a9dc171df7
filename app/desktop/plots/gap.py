"""Where a curve breaks a mask: the pieces between the two, exact to the crossing."""

from collections.abc import Iterator
from dataclasses import dataclass

import numpy as np

from app.desktop.plots.mask import PlotMask
from dsp.arrays import Floats


@dataclass(frozen=True, slots=True, eq=False, kw_only=True)
class Gap:
    """One piece, (n,) each: log10 of Hz, the curve, the limit it has passed."""

    x: Floats
    curve: Floats
    limit: Floats


def gaps(
    x: Floats, y: Floats, mask: PlotMask, *, valid: tuple[float, float] | None
) -> Iterator[Gap]:
    """Yield the pieces in which a curve lies beyond a mask.

    ``x`` (n,) and ``valid`` in log10 of Hz; outside ``valid`` a mask isn't judged.
    """
    if not x.size:
        return
    # Most curves break nothing, and this is asked at every frame of a drag.
    if not np.any(mask.outward * (y - _limit(mask, x)) > 0) and not _corner_breaks(mask, x, y):
        return
    places, curve, limit = _together(x, y, mask, valid=valid)
    beyond = mask.outward * (curve - limit)
    crossing = np.flatnonzero(beyond[:-1] * beyond[1:] < 0)
    part = beyond[crossing] / (beyond[crossing] - beyond[crossing + 1])

    def with_crossings(values: Floats) -> Floats:
        new = values[crossing] + part * (values[crossing + 1] - values[crossing])
        return np.insert(values, crossing + 1, new)

    places, curve, limit = (with_crossings(values) for values in (places, curve, limit))
    beyond = np.insert(beyond, crossing + 1, 0.0)
    # A segment belongs to the gap if neither end is inside the limit and not both are on it.
    is_gap = (beyond[:-1] >= 0) & (beyond[1:] >= 0) & (beyond[:-1] + beyond[1:] > 0)
    edges = np.flatnonzero(np.diff(np.concatenate([[False], is_gap, [False]]).astype(np.int8)))
    for start, stop in zip(edges[::2], edges[1::2], strict=True):
        piece = slice(int(start), int(stop) + 1)
        yield Gap(x=places[piece], curve=curve[piece], limit=limit[piece])


def _limit(mask: PlotMask, x: Floats) -> Floats:
    if mask.is_single:
        return np.full(x.shape, mask.values[0])
    limit: Floats = np.interp(x, np.log10(mask.hz), mask.values, left=np.nan, right=np.nan)
    return limit


def _corner_breaks(mask: PlotMask, x: Floats, y: Floats) -> bool:
    # A sharp corner of a mask may cut a curve between two of its points.
    corners = np.log10(mask.hz)
    at = np.interp(corners, x, y, left=np.nan, right=np.nan)
    return bool(np.any(mask.outward * (at - mask.values) > 0)) if corners.size else False


def _together(
    x: Floats, y: Floats, mask: PlotMask, *, valid: tuple[float, float] | None
) -> tuple[Floats, Floats, Floats]:
    low, high = valid or (-np.inf, np.inf)
    ends = [end for end in (low, high) if x[0] < end < x[-1]]
    places = np.unique(np.concatenate([x, np.log10(mask.hz), ends]))
    places = places[(places >= max(low, x[0])) & (places <= min(high, x[-1]))]
    return places, np.interp(places, x, y), _limit(mask, places)
