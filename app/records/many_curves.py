"""Curves of very many takes at once, laid out to be judged together."""

from collections.abc import Collection, Sequence
from concurrent.futures import Future, ThreadPoolExecutor
from dataclasses import dataclass
from itertools import chain
from operator import itemgetter
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
    points: Future[ManyPoints]
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
    groups: dict[tuple[str, str, int], list[_Some]] = {}
    with ThreadPoolExecutor(1) as pool:  # deflate and SQLite both let others work meanwhile
        for start in range(0, len(takes), _AT_ONCE):
            some = takes[start : start + _AT_ONCE]
            for key, rows in _rows(names, takes=some, on=on).items():
                members, points, low_reason, high_reason = zip(*rows, strict=True)
                groups.setdefault(key, []).append(
                    _Some(
                        members=np.array(members, dtype=np.int64) + start,
                        points=pool.submit(unpack_many, points),
                        low_reason=low_reason,
                        high_reason=high_reason,
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
) -> dict[tuple[str, str, int], list[tuple[Any, ...]]]:
    """Return place, points and reasons of the curves of some takes, by name, unit and axis."""
    places = {take: place for place, take in enumerate(takes)}
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
    found: dict[tuple[str, str, int], list[tuple[Any, ...]]] = {}
    for name, unit, axis_id, take, *row in on.execute(asked).all():
        found.setdefault((name, unit, axis_id), []).append((places[take], *row))
    for rows in found.values():
        rows.sort(key=itemgetter(0))
    return found


def _joined(parts: Sequence[_Some], *, unit: str, frequency_hz: Floats) -> CurveSet:
    read = [part.points.result() for part in parts]
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
