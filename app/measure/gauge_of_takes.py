"""A gauge studied by the repeats that a store holds: the same units, taken again and again."""

from collections import defaultdict
from collections.abc import Mapping, Sequence
from itertools import combinations
from typing import Literal

import numpy as np

from app.errors import BadInputError
from app.measure.gauge import GaugeStudy, gauge_study
from app.procedure.names import CURVES
from app.records.repeated_takes import RepeatedTake
from app.records.store import Store
from dsp import Curve, Floats

By = Literal["station", "day"]
_MOST_GROUPS = 8  # stations, or days, of which the best are looked for together
_ALL = "all takes"

Cells = Mapping[tuple[str, str], Sequence[RepeatedTake]]


def gauge_of_takes(
    store: Store,
    *,
    procedure: str,
    quantity: str,
    lot: str | None = None,
    by: By = "station",
    band_hz: tuple[float, float] | None = None,
) -> GaugeStudy:
    """Study the gauge by takes of units that were measured repeatedly.

    Parameters
    ----------
    store : Store
        Where they are.
    procedure : str
        Its name.
    quantity : str
        A curve or a number.
    lot : str or None
        Units of this lot only.
    by : "station" or "day"
        What stands for the operators: the chains by their names, or days (UTC).
    band_hz : (low, high) or None
        Hz: the mean over log f of a curve between these, as one number.

    Returns
    -------
    GaugeStudy of the largest balanced part of those takes, the newest ones. Where no unit was
    taken repeatedly on two stations (or days), of repeats alone.

    Raises
    ------
    BadInputError
        No two units with repeats, or nothing known of them.
    """
    takes = store.repeated_takes(procedure=procedure, lot=lot)
    read = _numbers if quantity not in CURVES else _curves
    values, hz = read(store, takes, quantity=quantity, band_hz=band_hz)
    cells = _balanced([one for one in takes if one.take_id in values], by=by)
    return gauge_study(
        {
            cell: np.stack([np.atleast_1d(values[one.take_id]) for one in those])
            for cell, those in cells.items()
        },
        by=by,
        frequency_hz=hz,
    )


def _numbers(
    store: Store,
    takes: Sequence[RepeatedTake],
    *,
    quantity: str,
    band_hz: tuple[float, float] | None,  # noqa: ARG001  a number has no band
) -> tuple[dict[str, Floats], Floats | None]:
    found = store.numbers([quantity], take_ids=[one.take_id for one in takes])
    return {
        take_id: np.array(numbers[quantity].value)
        for take_id, numbers in found.items()
        if quantity in numbers and numbers[quantity].trusted and not numbers[quantity].is_bound
    }, None


def _curves(
    store: Store,
    takes: Sequence[RepeatedTake],
    *,
    quantity: str,
    band_hz: tuple[float, float] | None,
) -> tuple[dict[str, Floats], Floats | None]:
    curves = store.curves(quantity, take_ids=[one.take_id for one in takes])
    if not curves:
        return {}, None
    alike = _of_the_most_frequent_axis(curves)
    first = next(iter(alike.values())).frequency_hz
    low = max(one.valid.low_hz for one in alike.values())
    high = min(one.valid.high_hz for one in alike.values())
    if band_hz is not None:
        low, high = max(low, band_hz[0]), min(high, band_hz[1])
    inside = (first >= low * (1 - 1e-9)) & (first <= high * (1 + 1e-9))
    # A frequency at which any take knows nothing, or only a bound, tells nothing of the gauge.
    for one in alike.values():
        inside &= np.isfinite(one.value)
        if one.is_bound is not None:
            inside &= ~one.is_bound
    if not inside.any():
        return {}, None
    if band_hz is None:
        return {take_id: one.value[inside] for take_id, one in alike.items()}, first[inside]
    weight = np.gradient(np.log(first[inside])) if inside.sum() > 1 else np.ones(1)
    return {
        take_id: np.array(np.average(one.value[inside], weights=weight))
        for take_id, one in alike.items()
    }, None


def _of_the_most_frequent_axis(curves: Mapping[str, Curve]) -> dict[str, Curve]:
    by_axis: dict[bytes, dict[str, Curve]] = defaultdict(dict)
    for take_id, curve in curves.items():
        by_axis[curve.frequency_hz.tobytes()][take_id] = curve
    return max(by_axis.values(), key=len)


def _balanced(takes: Sequence[RepeatedTake], *, by: By) -> Cells:
    """Return the largest balanced part, operators first: with two there is something to compare."""
    cells: dict[tuple[str, str], list[RepeatedTake]] = defaultdict(list)
    for one in takes:
        group = one.station if by == "station" else f"{one.started_utc:%Y-%m-%d}"
        cells[one.serial, group].append(one)
    several = {cell: those for cell, those in cells.items() if len(those) > 1}
    chosen = _best(several)
    if chosen is None:
        merged: dict[tuple[str, str], list[RepeatedTake]] = defaultdict(list)
        for one in takes:
            merged[one.serial, _ALL].append(one)
        chosen = _best({cell: those for cell, those in merged.items() if len(those) > 1}, groups=1)
    if chosen is None:
        raise BadInputError(
            "gauge",
            "no two units were taken twice",
            allowed="ten units, each twice or more on every station",
        )
    return chosen


def _best(cells: Cells, *, groups: int = 2) -> Cells | None:
    of_group: dict[str, int] = defaultdict(int)
    for _, group in cells:
        of_group[group] += 1
    names = sorted(of_group, key=lambda name: -of_group[name])[:_MOST_GROUPS]
    most: tuple[int, Cells] | None = None
    for size in range(groups, len(names) + 1):
        for some in combinations(names, size):
            found = _whole(cells, some)
            if found is not None and (most is None or found[0] > most[0]):
                most = found
        if groups == 1:
            break
    return None if most is None else most[1]


def _whole(cells: Cells, groups: tuple[str, ...]) -> tuple[int, Cells] | None:
    """Return the units that all of these groups repeated, as often as most can, and how many."""
    units = [
        unit
        for unit in dict.fromkeys(unit for unit, _ in cells)
        if all((unit, group) in cells for group in groups)
    ]
    counts = [min(len(cells[unit, group]) for group in groups) for unit in units]
    most: tuple[int, Cells] | None = None
    for repeats in sorted(set(counts)):
        ours = [unit for unit, count in zip(units, counts, strict=True) if count >= repeats]
        score = len(ours) * repeats * len(groups)
        if len(ours) > 1 and (most is None or score > most[0]):
            newest = {
                (unit, group): cells[unit, group][-repeats:] for unit in ours for group in groups
            }
            most = (score, newest)
    return most
