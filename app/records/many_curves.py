"""Curves of very many takes at once, laid out to be judged together."""

from collections import defaultdict
from collections.abc import Collection, Sequence
from dataclasses import dataclass, field
from typing import Any

import numpy as np
from sqlalchemy import Connection, select

from app.records import tables
from app.records.curve_blob import points_in
from app.records.many_points import ManyPoints
from app.records.read_take import read_axis
from dsp import Floats, read_only
from dsp.conformity.curve_set import CurveSet
from dsp.later import Later

_AT_ONCE = 1000  # takes in one question


@dataclass(slots=True, kw_only=True)
class _Group:
    """Curves in one unit over one axis, as they come in."""

    points: ManyPoints
    members: list[int] = field(default_factory=list)
    low_reason: list[str] = field(default_factory=list)
    high_reason: list[str] = field(default_factory=list)


def read_curve_sets(
    names: Collection[str], *, takes: Sequence[int], on: Connection
) -> dict[str, tuple[CurveSet, ...]]:
    """Return the curves of those names of each take that has them, by name.

    Parameters
    ----------
    names : collection of str
        Of the curves.
    takes : sequence of int
        Running numbers; the members of a set are places in this sequence.
    on : Connection
        Reading.

    Returns
    -------
    dict of name to tuple of CurveSet, as ``gather`` would make them of the curves.
    """
    groups: dict[tuple[str, str, int], _Group] = {}
    for start in range(0, len(takes), _AT_ONCE):
        some = takes[start : start + _AT_ONCE]
        places = {take: start + place for place, take in enumerate(some)}
        for key, rows in _rows(names, takes=some, on=on).items():
            rows.sort(key=lambda row: places[row[3]])
            _, _, _, own, points, low_reason, high_reason = zip(*rows, strict=True)
            if key not in groups:
                room = ManyPoints.room(size=points_in(points[0]), curves=len(takes) - start)
                groups[key] = _Group(points=room)
            group = groups[key]
            group.points.put(points, begin=len(group.members))
            group.members += [places[take] for take in own]
            group.low_reason += low_reason
            group.high_reason += high_reason
    found: dict[str, list[CurveSet]] = {name: [] for name in names}
    for (name, unit, axis_id), group in groups.items():
        frequency_hz = read_axis(axis_id, on=on)
        if frequency_hz.size:
            found[name].append(_set(group, unit=unit, frequency_hz=frequency_hz))
    return {
        name: tuple(sorted(sets, key=lambda one: int(one.members[0])))
        for name, sets in found.items()
    }


def _rows(
    names: Collection[str], *, takes: Sequence[int], on: Connection
) -> dict[tuple[str, str, int], list[Any]]:
    """Return the curves of some takes, by name, unit and axis."""
    curves = tables.curves
    asked = select(
        curves.c.name,
        curves.c.unit,
        curves.c.axis_id,
        curves.c.take,
        curves.c.points,
        curves.c.low_reason,
        curves.c.high_reason,
    ).where(curves.c.name.in_(names), curves.c.take.in_(takes))
    found: defaultdict[tuple[str, str, int], list[Any]] = defaultdict(list)
    for row in on.execute(asked).all():
        found[row[0], row[1], row[2]].append(row)
    return found


def _set(group: _Group, *, unit: str, frequency_hz: Floats) -> CurveSet:
    read = group.points.part(len(group.members))
    return CurveSet(
        members=read_only(np.array(group.members, dtype=np.int64)),
        frequency_hz=read_only(frequency_hz),
        value=read_only(read.value.T),
        doubt=Later(lambda: read_only(read.uncertainty().T)),
        is_bound=read_only(read.is_bound.T),
        low_hz=read_only(np.maximum(read.low_hz, frequency_hz[0])),
        high_hz=read_only(np.minimum(read.high_hz, frequency_hz[-1])),
        low_reason=tuple(group.low_reason),
        high_reason=tuple(group.high_reason),
        unit=unit,
    )
