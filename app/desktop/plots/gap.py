"""Where curves break a mask: the area between the two, exact to the crossing.

Curves on the same frequencies are worked out together: fifty of them are asked at every frame of a
drag. All their areas begin at the limit, so that what they cover reaches to the outermost of them.
"""

from collections.abc import Iterable, Iterator
from dataclasses import dataclass

import numpy as np

from app.desktop.plots.drawn import Drawn
from app.desktop.plots.mask import PlotMask
from dsp.arrays import Bools, Floats

Valid = tuple[float, float] | None


@dataclass(frozen=True, slots=True, eq=False, kw_only=True)
class Alike:
    """Curves on the same points: log10 of Hz (n,), values (curves, n), where to be believed."""

    x: Floats
    values: Floats
    valid: Valid


@dataclass(frozen=True, slots=True, eq=False, kw_only=True)
class Gap:
    """What lies beyond a mask, (n,) each: log10 of Hz, the outermost curve, the limit.

    Between two pieces of it both lie on the limit, so that one polygon holds them all.
    """

    x: Floats
    curve: Floats
    limit: Floats


def alike(curves: Iterable[Drawn]) -> tuple[Alike, ...]:
    """Put curves together that have the same points and the same valid range."""
    together: dict[tuple[bytes, Valid], list[Drawn]] = {}
    for curve in curves:
        if curve.x.size:
            together.setdefault((curve.x.tobytes(), curve.valid), []).append(curve)
    return tuple(
        Alike(x=group[0].x, values=np.stack([c.y for c in group]), valid=group[0].valid)
        for group in together.values()
    )


def gaps(curves: Alike, mask: PlotMask, *, valid: Valid = None) -> Iterator[Gap]:
    """Yield what curves have beyond a mask; holes that all of them share part it.

    ``valid`` (log10 of Hz) holds where the curves have none of their own; outside, a mask isn't
    judged. Between the points of several curves their outermost is taken as straight.
    """
    places = _places(curves.x, mask, valid=curves.valid or valid)
    if places.size < 2:  # no area on one point
        return
    limit = _limit(mask, places)
    beyond = np.fmax.reduce(mask.outward * (_read(curves, places) - limit), axis=0)
    if np.any(beyond > 0):
        yield from _areas(places, limit, beyond, outward=mask.outward)


def _areas(places: Floats, limit: Floats, beyond: Floats, *, outward: int) -> Iterator[Gap]:
    # The difference is straight between places, and so is the limit: the crossings are exact.
    crossing = np.flatnonzero(beyond[:-1] * beyond[1:] < 0)
    part = beyond[crossing] / (beyond[crossing] - beyond[crossing + 1])
    order = np.argsort(np.concatenate([np.arange(places.size), crossing + part]), kind="stable")
    at = crossing + 1
    x, on = (
        np.concatenate([v, v[crossing] + part * (v[at] - v[crossing])])[order]
        for v in (places, limit)
    )
    out = np.concatenate([np.maximum(beyond, 0.0), np.zeros(at.size)])[order]
    kept = _about(out > 0)
    # A hole parts it; its neighbours end upright.
    good = kept & np.isfinite(out)
    for piece in _unbroken(good, holes=np.isnan(out)):
        base = on[piece]
        yield Gap(x=x[piece], curve=base + outward * out[piece], limit=base)


def _about(inside: Bools) -> Bools:
    kept = inside.copy()
    kept[1:] |= inside[:-1]
    kept[:-1] |= inside[1:]
    return kept


def _unbroken(good: Bools, *, holes: Bools) -> Iterator[Bools]:
    if not holes.any():
        yield good
        return
    number = np.cumsum(holes)
    for part in np.unique(number[good]):
        yield good & (number == part)


def _places(x: Floats, mask: PlotMask, *, valid: Valid) -> Floats:
    low, high = valid or (-np.inf, np.inf)
    corners = np.log10(mask.hz)
    ends = [end for end in (low, high) if np.isfinite(end)]
    low, high = max(low, float(x[0])), min(high, float(x[-1]))
    if corners.size:
        low, high = max(low, float(corners[0])), min(high, float(corners[-1]))
    places = np.unique(np.concatenate([x, corners, ends]))
    return places[(places >= low) & (places <= high)]


def _limit(mask: PlotMask, places: Floats) -> Floats:
    if mask.is_single:
        return np.full(places.shape, mask.values[0])
    limit: Floats = np.interp(places, np.log10(mask.hz), mask.values)
    return limit


def _read(curves: Alike, places: Floats) -> Floats:
    x = curves.x
    at = np.clip(np.searchsorted(x, places, side="right") - 1, 0, max(x.size - 2, 0))
    after = np.minimum(at + 1, x.size - 1)
    width = np.where(after > at, x[after] - x[at], 1.0)
    part = (places - x[at]) / width
    before, behind = curves.values[:, at], curves.values[:, after]
    # On a point a hole beside it doesn't matter.
    return np.where(part == 0, before, before + part * (behind - before))
