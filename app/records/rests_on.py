"""Which other takes the figures of a take rest on, as rows; the caller holds the transaction."""

from collections.abc import Mapping

from sqlalchemy import Connection, insert, select

from app.errors import BadInputError
from app.records import tables


def write_rests_on(row: int, *, others: Mapping[str, str], on: Connection) -> None:
    """Note on which takes that of a row rests, by what each gave.

    Raises
    ------
    BadInputError
        The store does not hold one of them.
    """
    takes = tables.takes.c
    for gave, other in others.items():
        known = on.execute(select(takes.row).where(takes.id == other)).scalar()
        if known is None:
            raise BadInputError(f"take with {gave}", "the store does not hold it", given=other)
        on.execute(insert(tables.take_rests_on).values(take=row, gave=gave, other=known))


def read_rests_on(row: int, *, on: Connection) -> dict[str, str]:
    """Return the ids of the takes that that of a row rests on, by what each gave."""
    takes, own = tables.takes, tables.take_rests_on
    found = on.execute(
        select(own.c.gave, takes.c.id)
        .join(takes, takes.c.row == own.c.other)
        .where(own.c.take == row)
        .order_by(own.c.gave)
    )
    return {row.gave: row.id for row in found}


def read_given(row: int, *, on: Connection) -> frozenset[str]:
    """Return what the take of a row gave to others that rest on it; empty where none does."""
    own = tables.take_rests_on.c
    return frozenset(on.execute(select(own.gave).where(own.other == row)).scalars())
