"""The same curve, the same few numbers, or the masks of many takes at once."""

from collections.abc import Collection, Iterable, Iterator, Sequence
from itertools import islice
from typing import TypeVar

from sqlalchemy import Connection, select

from app.records import tables
from app.records.exact_floats import unpack_exact
from app.records.read_take import curve_of, mask_of, number_of, read_axis
from dsp import Curve, Floats, Number
from dsp.conformity.verdict import MaskResult

_AT_ONCE = 500  # takes in one question

Key = TypeVar("Key", str, int)


def read_curves(name: str, *, take_ids: Sequence[str], on: Connection) -> dict[str, Curve]:
    """Return the curve of that name of each take that has it, by id, in the order given.

    Curves over the same frequencies share one array of them.
    """
    takes, curves = tables.takes, tables.curves
    axes: dict[int, Floats] = {}
    found = {}
    for some in _batches(take_ids):
        rows = on.execute(
            select(takes.c.id, curves)
            .join(curves, curves.c.take == takes.c.row)
            .where(takes.c.id.in_(some), curves.c.name == name)
        )
        for row in rows:
            if row.axis_id not in axes:
                axes[row.axis_id] = read_axis(row.axis_id, on=on)
            found[row.id] = curve_of(row, frequency_hz=axes[row.axis_id])
    return {take_id: found[take_id] for take_id in take_ids if take_id in found}


def read_numbers(
    names: Iterable[str], *, take_ids: Sequence[str], on: Connection
) -> dict[str, dict[str, Number]]:
    """Return those numbers of each take that it has, by id of the take and name."""
    takes, numbers = tables.takes, tables.numbers
    wanted = tuple(names)
    found: dict[str, dict[str, Number]] = {take_id: {} for take_id in take_ids}
    for some in _batches(take_ids):
        rows = on.execute(
            select(takes.c.id, numbers)
            .join(numbers, numbers.c.take == takes.c.row)
            .where(takes.c.id.in_(some), numbers.c.name.in_(wanted))
        )
        for row in rows:
            found[row.id][row.name] = number_of(row)
    return found


def read_number_lists(
    names: Collection[str], *, takes: Sequence[int], on: Connection
) -> dict[str, list[Number | None]]:
    """Return those numbers of very many takes, by running number, as a list each in that order."""
    found: dict[str, list[Number | None]] = {name: [None] * len(takes) for name in names}
    places = {take: place for place, take in enumerate(takes)}
    table = tables.numbers.c
    figures = (table.value, table.uncertainty, table.k, table.exact)
    asked = select(
        table.take, table.name, table.unit, table.how, table.reason, table.is_bound, *figures
    ).where(table.name.in_(names))
    for some in _batches(takes) if names else ():
        for row in on.execute(asked.where(table.take.in_(some))):
            take, name, unit, how, reason, is_bound, value, uncertainty, k, exact = row
            if exact:
                value, uncertainty, k = unpack_exact(exact)
            found[name][places[take]] = Number(
                value=value,
                unit=unit,
                uncertainty=uncertainty,
                k=k,
                how=how,
                reason=reason,
                is_bound=bool(is_bound),
            )
    return found


def read_masks(*, take_ids: Sequence[str], on: Connection) -> dict[str, dict[str, MaskResult]]:
    """Return how each take stands against its masks, by id of the take and name."""
    takes, masks = tables.takes, tables.masks
    found: dict[str, dict[str, MaskResult]] = {take_id: {} for take_id in take_ids}
    for some in _batches(take_ids):
        rows = on.execute(
            select(takes.c.id, masks)
            .join(masks, masks.c.take == takes.c.row)
            .where(takes.c.id.in_(some))
            .order_by(masks.c.take, masks.c.position)
        )
        for row in rows:
            found[row.id][row.name] = mask_of(row)
    return found


def _batches(takes: Iterable[Key]) -> Iterator[tuple[Key, ...]]:
    rest = iter(takes)
    while some := tuple(islice(rest, _AT_ONCE)):
        yield some
