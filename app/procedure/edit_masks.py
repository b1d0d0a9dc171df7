"""Change one mask: points added, moved, removed, snapped; limits set, shifted; always whole again.

Every function returns a new mask that a procedure file could hold, or says which of its figures
cannot stand; frequencies are Hz, limits in the unit of the mask's quantity.
"""

import math
from collections.abc import Mapping
from typing import Any, Literal

import numpy as np
from pydantic import ValidationError

from app.errors import AppError
from app.procedure.mask_schema import Mask, Point
from dsp.conformity.mask import MaskLines
from dsp.preferred import nearest_preferred

Side = Literal["upper", "lower"]
SIDES: tuple[Side, Side] = ("upper", "lower")

LOWEST_HZ, HIGHEST_HZ = 1.0, 100_000.0


class EditRefusedError(AppError):
    """A figure that the mask cannot take.

    Parameters
    ----------
    key : str
        Which figure: ``at`` (frequency), ``limit``, ``guard``, or empty for the mask as a whole.
    what : str
        What is wrong, in a few words.
    given, allowed : str
        As a person reads them; left out where empty.
    """

    def __init__(self, key: str, what: str, *, given: str = "", allowed: str = "") -> None:
        self.key = key
        tail = [f"given {given}"] if given else []
        tail += [f"allowed {allowed}"] if allowed else []
        super().__init__(what + (": " + ", ".join(tail) if tail else ""))


def points_of(mask: Mask, *, side: Side) -> tuple[Point, ...]:
    """Return the break points of a limit, rising; none where it is a single value or not there."""
    line = mask.upper if side == "upper" else mask.lower
    return line if isinstance(line, tuple) else ()


def value_of(mask: Mask, *, side: Side) -> float | None:
    """Return the single value of a limit; None where it has points or is not there."""
    line = mask.upper if side == "upper" else mask.lower
    return None if line is None or isinstance(line, tuple) else float(line)


def limit_at(mask: Mask, *, side: Side, hz: float) -> float | None:
    """Read a limit; None where it says nothing."""
    lines = MaskLines(upper=mask.upper, lower=mask.lower)
    read = lines.upper_at if side == "upper" else lines.lower_at
    limit = float(read(np.array([hz]))[0])
    return limit if math.isfinite(limit) else None


def snapped(hz: float, *, series: int | None) -> float:
    """Return the preferred frequency (ISO 3, ISO 266) nearest to one; itself without a series."""
    return hz if series is None else float(nearest_preferred(np.array([hz]), series=series)[0])


def add_point(mask: Mask, *, side: Side, hz: float, value: float | None = None) -> Mask:
    """Add a break point; without a value on the limit as it runs, or level with its nearest end.

    Raises
    ------
    EditRefusedError
        The limit has a point there, is a single value, or would cross the other one.
    """
    _check_hz(hz)
    if value_of(mask, side=side) is not None:
        raise EditRefusedError("", f"the {side} limit is one value for all frequencies")
    points = points_of(mask, side=side)
    if any(math.isclose(hz, point[0], rel_tol=1e-6) for point in points):
        raise EditRefusedError("at", f"the {side} limit has a point there", given=f"{hz:g} Hz")
    if value is None:
        value = _on_the_line(mask, side=side, hz=hz)
    return _with(mask, {side: tuple(sorted((*points, (hz, value))))})


def move_point(mask: Mask, *, side: Side, index: int, hz: float, value: float) -> Mask:
    """Put a break point, counted from 0, elsewhere between its neighbours.

    Raises
    ------
    EditRefusedError
        Past a neighbour, out of range, or across the other limit.
    """
    _check_hz(hz)
    points = points_of(mask, side=side)
    if index > 0 and hz <= points[index - 1][0]:
        allowed = f"above {points[index - 1][0]:g} Hz"
        raise EditRefusedError("at", "not above the point before", given=f"{hz:g}", allowed=allowed)
    if index + 1 < len(points) and hz >= points[index + 1][0]:
        allowed = f"below {points[index + 1][0]:g} Hz"
        raise EditRefusedError("at", "not below the point after", given=f"{hz:g}", allowed=allowed)
    return _with(mask, {side: (*points[:index], (hz, value), *points[index + 1 :])})


def remove_point(mask: Mask, *, side: Side, index: int) -> Mask:
    """Take a break point away; with its last one a limit goes, too.

    Raises
    ------
    EditRefusedError
        It is the last point of the only limit.
    """
    points = points_of(mask, side=side)
    left = (*points[:index], *points[index + 1 :])
    if not left and getattr(mask, "lower" if side == "upper" else "upper") is None:
        raise EditRefusedError("", "the last point of the only limit stays")
    return _with(mask, {side: left or None})


def set_value(mask: Mask, *, side: Side, value: float | None) -> Mask:
    """Set a limit to one value for all; None takes it away.

    Raises
    ------
    EditRefusedError
        It is the only limit, or would cross the other one.
    """
    if value is None and getattr(mask, "lower" if side == "upper" else "upper") is None:
        raise EditRefusedError("limit", "the only limit stays")
    return _with(mask, {side: value})


def set_guard(mask: Mask, guard: float) -> Mask:
    """Set the guard band, times the expanded uncertainty.

    Raises
    ------
    EditRefusedError
        Outside 0 to 2.
    """
    if not 0 <= guard <= 2:
        raise EditRefusedError("guard", "outside", given=f"{guard:g}", allowed="0 to 2")
    return _with(mask, {"guard": float(guard)})


def offset(mask: Mask, *, upper_by: float, lower_by: float) -> Mask:
    """Move each limit as a whole.

    Raises
    ------
    EditRefusedError
        The limits would cross.
    """
    changed: dict[str, Any] = {}
    for side, by in zip(SIDES, (upper_by, lower_by), strict=True):
        value = value_of(mask, side=side)
        points = points_of(mask, side=side)
        if value is not None:
            changed[side] = _clean(value + by)
        elif points:
            changed[side] = tuple((hz, _clean(limit + by)) for hz, limit in points)
    return _with(mask, changed)


def with_limits(mask: Mask, *, upper: tuple[Point, ...], lower: tuple[Point, ...]) -> Mask:
    """Give a mask other points; a side without any is no limit.

    Raises
    ------
    EditRefusedError
        No point at all, or limits that cross.
    """
    return _with(mask, {"upper": upper or None, "lower": lower or None})


def with_values(mask: Mask, *, upper: float | None, lower: float | None) -> Mask:
    """Give a mask other single limits.

    Raises
    ------
    EditRefusedError
        No limit at all, or limits that cross.
    """
    return _with(mask, {"upper": upper, "lower": lower})


def _on_the_line(mask: Mask, *, side: Side, hz: float) -> float:
    limit = limit_at(mask, side=side, hz=hz)
    if limit is not None:
        return _clean(limit)
    points = points_of(mask, side=side)
    if not points:
        raise EditRefusedError("limit", f"there is no {side} limit yet", allowed="a value")
    return points[0][1] if hz < points[0][0] else points[-1][1]


def _check_hz(hz: float) -> None:
    if not LOWEST_HZ <= hz <= HIGHEST_HZ:
        raise EditRefusedError(
            "at", "outside", given=f"{hz:g}", allowed=f"{LOWEST_HZ:g} to {HIGHEST_HZ:g} Hz"
        )


def _clean(value: float) -> float:
    # 4.6 + 0.1 is typed as 4.7, and must stand so in the file.
    return float(f"{value:.10g}")


def _with(mask: Mask, changes: Mapping[str, Any]) -> Mask:
    try:
        return Mask.model_validate({**mask.model_dump(), **changes})
    except ValidationError as error:
        first = error.errors(include_url=False)[0]
        context = first.get("ctx", {})
        what, given = context.get("what", first["msg"]), context.get("given")
        raise EditRefusedError(
            "limit", str(what), given="" if given is None else str(given)
        ) from error
