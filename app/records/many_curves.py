"""Curves of very many takes at once, laid out to be judged together."""

from collections.abc import Collection, Iterator, Sequence
from typing import Any

import numpy as np
from sqlalchemy import Connection, select

from app.records import tables
from app.records.curve_blob import unpack_many
from app.records.read_take import read_axis
from dsp import Floats, read_only
from dsp.conformity.curve_set import CurveSet

_AT_ONCE = 1000  # takes in one question

_Row = list[Any]  # number of the take, points, what ends the valid range on either side


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
    places = {take: place for place, take in enumerate(takes)}
    groups: dict[tuple[str, str, int], list[_Row]] = {}
    curves = tables.curves
    wanted = select(
        curves.c.name,
        curves.c.unit,
        curves.c.axis_id,
        curves.c.take,
        curves.c.points,
        curves.c.low_reason,
        curves.c.high_reason,
    ).where(curves.c.name.in_(names))
    for some in _batches(takes):
        asked = wanted.where(curves.c.take.in_(some))
        for name, unit, axis_id, *row in on.execute(asked).all():
            groups.setdefault((name, unit, axis_id), []).append(row)
    found: dict[str, list[CurveSet]] = {name: [] for name in names}
    for (name, unit, axis_id), rows in groups.items():
        frequency_hz = read_axis(axis_id, on=on)
        if frequency_hz.size:
            rows.sort(key=lambda row: places[row[0]])
            members = [places[row[0]] for row in rows]
            found[name].append(_set(rows, members=members, unit=unit, frequency_hz=frequency_hz))
    return {
        name: tuple(sorted(sets, key=lambda one: int(one.members[0])))
        for name, sets in found.items()
    }


def _set(
    rows: Sequence[_Row], *, members: Sequence[int], unit: str, frequency_hz: Floats
) -> CurveSet:
    _, points, low_reasons, high_reasons = zip(*rows, strict=True)
    read = unpack_many(points, size=frequency_hz.size)
    return CurveSet(
        members=read_only(np.array(members, dtype=np.int64)),
        frequency_hz=read_only(frequency_hz),
        value=read_only(read.value.T),
        uncertainty=read_only(read.uncertainty.T),
        is_bound=read_only(read.is_bound.T),
        low_hz=read_only(np.maximum(read.low_hz, frequency_hz[0])),
        high_hz=read_only(np.minimum(read.high_hz, frequency_hz[-1])),
        low_reason=low_reasons,
        high_reason=high_reasons,
        unit=unit,
    )


def _batches(takes: Sequence[int]) -> Iterator[Sequence[int]]:
    for start in range(0, len(takes), _AT_ONCE):
        yield takes[start : start + _AT_ONCE]
