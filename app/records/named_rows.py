"""Rows of units and lots by their names, which people look for by any of their parts."""

from sqlalchemy import Connection, Table, insert, select

from app.records import tables
from app.records.words import words_of


def unit_row(serial: str | None, *, on: Connection) -> int | None:
    """Return the id of a unit, added where it is new; None for no unit."""
    return _row(serial, table=tables.units, words=tables.unit_words, on=on)


def lot_row(name: str | None, *, on: Connection) -> int | None:
    """Return the id of a lot, added where it is new; None for no lot."""
    return _row(name, table=tables.lots, words=tables.lot_words, on=on)


def _row(name: str | None, *, table: Table, words: Table, on: Connection) -> int | None:
    if name is None:
        return None
    _, named = table.c  # its id, and what people call it
    found = on.execute(select(table.c.id).where(named == name)).scalar()
    if found is not None:
        return int(found)
    added = insert(table).values({named.name: name}).returning(table.c.id)
    row = int(on.execute(added).scalar_one())
    word, key = words.c
    parts = [{word.name: one, key.name: row} for one in words_of(name)]
    if parts:  # none in a name of signs alone
        on.execute(insert(words), parts)
    return row
