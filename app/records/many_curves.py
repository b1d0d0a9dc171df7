"""A curve of very many takes at once, laid out to be judged together."""

from collections.abc import Iterator, Sequence
from dataclasses import dataclass, field

import numpy as np
from sqlalchemy import Connection, select

from app.records import tables
from app.records.curve_blob import unpack_many
from app.records.read_take import read_axis
from dsp import Floats, read_only
from dsp.conformity.curve_set import CurveSet

_AT_ONCE = 1000  # takes in one question


@dataclass(slots=True)
class _Group:
    """Curves in one unit over one axis, as they come."""

    members: list[int] = field(default_factory=list)
    points: list[bytes] = field(default_factory=list)
    low_reason: list[str] = field(default_factory=list)
    high_reason: list[str] = field(default_factory=list)


def read_curve_sets(name: str, *, takes: Sequence[int], on: Connection) -> tuple[CurveSet, ...]:
    """Return the curve of that name of each take that has it, by running number.

    Parameters
    ----------
    name : str
        Of the curve.
    takes : sequence of int
        Running numbers; the members of a set are places in this sequence.
    on : Connection
        Reading.

    Returns
    -------
    tuple of CurveSet, as ``gather`` would make them of the curves.
    """
    places = {take: place for place, take in enumerate(takes)}
    groups: dict[tuple[str, int], _Group] = {}
    curves = tables.curves
    wanted = select(
        curves.c.take,
        curves.c.unit,
        curves.c.axis_id,
        curves.c.points,
        curves.c.low_reason,
        curves.c.high_reason,
    ).where(curves.c.name == name)
    for some in _batches(takes):
        for take, unit, axis_id, points, low, high in on.execute(
            wanted.where(curves.c.take.in_(some))
        ):
            group = groups.setdefault((unit, axis_id), _Group())
            group.members.append(places[take])
            group.points.append(points)
            group.low_reason.append(low)
            group.high_reason.append(high)
    sets = (
        _set(group, unit=unit, frequency_hz=read_axis(axis_id, on=on))
        for (unit, axis_id), group in groups.items()
    )
    found = [one for one in sets if one.frequency_hz.size]
    return tuple(sorted(found, key=lambda one: int(one.members[0])))


def _set(group: _Group, *, unit: str, frequency_hz: Floats) -> CurveSet:
    order = np.argsort(group.members)
    read = unpack_many([group.points[at] for at in order], size=frequency_hz.size)
    ends = frequency_hz if frequency_hz.size else np.array([np.inf])
    return CurveSet(
        members=read_only(np.array(group.members, dtype=np.int64)[order]),
        frequency_hz=read_only(frequency_hz),
        value=read_only(read.value.T),
        uncertainty=read_only(read.uncertainty.T),
        is_bound=read_only(read.is_bound.T),
        low_hz=read_only(np.maximum(read.low_hz, ends[0])),
        high_hz=read_only(np.minimum(read.high_hz, ends[-1])),
        low_reason=tuple(group.low_reason[at] for at in order),
        high_reason=tuple(group.high_reason[at] for at in order),
        unit=unit,
    )


def _batches(takes: Sequence[int]) -> Iterator[Sequence[int]]:
    for start in range(0, len(takes), _AT_ONCE):
        yield takes[start : start + _AT_ONCE]
