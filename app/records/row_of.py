"""The row of the take that a person means by the first digits of an id."""

from sqlalchemy import Connection, select

from app.errors import BadInputError
from app.records import tables

_DIGITS = frozenset("0123456789abcdef")


def row_of(take_id: str, *, on: Connection) -> int:
    """Return the row of the one take whose id begins with ``take_id``.

    Raises
    ------
    BadInputError
        No such take, or several.
    """
    ids = tables.takes.c.id
    if not take_id or not _DIGITS.issuperset(take_id):
        raise BadInputError("take", "not an id", given=take_id or "nothing", allowed="hex digits")
    # A range, not LIKE: the index serves it. "g" comes after every hex digit.
    alike = select(tables.takes.c.row).where(ids >= take_id, ids < take_id + "g").limit(2)
    rows = on.execute(alike).scalars().all()
    if not rows:
        raise BadInputError("take", "the store holds no such take", given=take_id)
    if len(rows) > 1:
        raise BadInputError("take", "several takes begin so", given=take_id, allowed="more digits")
    return int(rows[0])
