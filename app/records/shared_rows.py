"""Rows that many takes share: added once, then found by their key."""

from collections.abc import Mapping

from sqlalchemy import Connection, Table, insert, select


def id_of(
    table: Table,
    *,
    key: Mapping[str, object],
    on: Connection,
    more: Mapping[str, object] | None = None,
) -> int:
    """Return the id of the row with ``key``; where there is none, add it with ``more``.

    The connection must be writing: nobody else can add the same row in between.
    """
    same = select(table.c.id).where(*(table.c[name] == value for name, value in key.items()))
    found = on.execute(same).scalar()
    if found is None:
        added = insert(table).values({**key, **(more or {})}).returning(table.c.id)
        found = on.execute(added).scalar_one()
    return int(found)
