"""Curves of very many takes at once, laid out to be judged together."""

from collections import defaultdict
from collections.abc import Collection, Sequence
from dataclasses import dataclass
from itertools import chain
from typing import Any

import numpy as np
from sqlalchemy import Connection, select

from app.records import tables
from app.records.curve_blob import ManyPoints, unpack_many
from app.records.read_take import read_axis
from dsp import Floats, Ints, read_only
from dsp.conformity.curve_set import CurveSet

_AT_ONCE = 1000  # takes in one question


@dataclass(frozen=True, slots=True, eq=False, kw_only=True)
class _Some:
    """Curves of a few takes in one unit over one axis."""

    members: Ints
    points: ManyPoints
    low_reason: tuple[str, ...]
    high_reason: tuple[str, ...]


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
    groups: defaultdict[tuple[str, str, int], list[_Some]] = defaultdict(list)
    for start in range(0, len(takes), _AT_ONCE):
        some = takes[start : start + _AT_ONCE]
        places = {take: start + place for place, take in enumerate(some)}
        for key, rows in _rows(names, takes=some, on=on).items():
            _, _, _, own, points, low_reason, high_reason = zip(*rows, strict=True)
            members = np.array([places[take] for take in own], dtype=np.int64)
            order = np.argsort(members)
            groups[key].append(
                _Some(
                    members=members[order],
                    points=unpack_many([points[at] for at in order]),
                    low_reason=tuple(low_reason[at] for at in order),
                    high_reason=tuple(high_reason[at] for at in order),
                )
            )
    found: dict[str, list[CurveSet]] = {name: [] for name in names}
    for (name, unit, axis_id), parts in groups.items():
        frequency_hz = read_axis(axis_id, on=on)
        if frequency_hz.size:
            found[name].append(_joined(parts, unit=unit, frequency_hz=frequency_hz))
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


def _joined(parts: Sequence[_Some], *, unit: str, frequency_hz: Floats) -> CurveSet:
    read = [part.points for part in parts]
    low = np.concatenate([one.low_hz for one in read])
    high = np.concatenate([one.high_hz for one in read])
    return CurveSet(
        members=read_only(np.concatenate([part.members for part in parts])),
        frequency_hz=read_only(frequency_hz),
        value=read_only(np.concatenate([one.value for one in read], axis=1).T),
        uncertainty=read_only(np.concatenate([one.uncertainty for one in read], axis=1).T),
        is_bound=read_only(np.concatenate([one.is_bound for one in read], axis=1).T),
        low_hz=read_only(np.maximum(low, frequency_hz[0])),
        high_hz=read_only(np.minimum(high, frequency_hz[-1])),
        low_reason=tuple(chain.from_iterable(part.low_reason for part in parts)),
        high_reason=tuple(chain.from_iterable(part.high_reason for part in parts)),
        unit=unit,
    )
