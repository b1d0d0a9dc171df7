"""What a take must be to stand in a list: conditions that an index serves."""

from datetime import datetime
from enum import Enum
from typing import TypedDict

from sqlalchemy import ColumnElement, Connection, select

from app.errors import BadInputError
from app.records import tables
from app.records.find_text import text_conditions
from dsp.conformity.verdict import Verdict


class Kind(Enum):
    """What a take may be besides a take; the values are words for a list."""

    DERIVED_AGAIN = "derived again"  # from the recording of another take
    REFERENCE = "reference takes"  # is, or once was, what relative masks compare with
    INSPECTED = "units inspected"  # its unit was marked good or bad


class Filters(TypedDict, total=False):
    """What a take must be; what is left out or None may be anything.

    ``since`` and ``until`` are aware moments of the start, the first included, the second not.
    ``procedure`` is a name. ``text`` is what a person types: words of serial, lot, procedure or
    verdict, a number of a take, a day, a time; see find_text.py.
    """

    serial: str | None
    lot: str | None
    since: datetime | None
    until: datetime | None
    verdict: Verdict | None
    procedure: str | None
    kind: Kind | None
    text: str | None


def conditions(filters: Filters, *, on: Connection) -> list[ColumnElement[bool]]:
    """Return what the rows of ``takes`` must fulfil."""
    return [
        *_of_names(filters),
        *_of_time(filters),
        *kind_conditions(filters.get("kind")),
        *text_conditions(filters.get("text") or "", on=on),
    ]


def _of_names(filters: Filters) -> list[ColumnElement[bool]]:
    takes, found = tables.takes, []
    if (serial := filters.get("serial")) is not None:
        unit = select(tables.units.c.id).where(tables.units.c.serial == serial)
        found.append(takes.c.unit_id == unit.scalar_subquery())
    if (lot := filters.get("lot")) is not None:
        of_name = select(tables.lots.c.id).where(tables.lots.c.name == lot)
        found.append(takes.c.lot_id == of_name.scalar_subquery())
    if (verdict := filters.get("verdict")) is not None:
        found.append(takes.c.verdict == verdict.value)
    if (procedure := filters.get("procedure")) is not None:
        revisions = select(tables.snapshots.c.id).where(
            tables.snapshots.c.kind == "procedure", tables.snapshots.c.name == procedure
        )
        found.append(takes.c.procedure_id.in_(revisions))
    return found


def _of_time(filters: Filters) -> list[ColumnElement[bool]]:
    started, found = tables.takes.c.started_utc, []
    if (since := filters.get("since")) is not None:
        found.append(started >= aware("since", since))
    if (until := filters.get("until")) is not None:
        found.append(started < aware("until", until))
    return found


def kind_conditions(kind: Kind | None) -> list[ColumnElement[bool]]:
    """Return what the rows of ``takes`` must fulfil to be of a kind; none for None."""
    takes = tables.takes
    match kind:
        case None:
            return []
        case Kind.DERIVED_AGAIN:
            return [takes.c.derived_from > ""]  # any id at all; a range is served by the index
        case Kind.REFERENCE:
            return [takes.c.row.in_(select(tables.reference_takes.c.take))]
        case Kind.INSPECTED:
            return [takes.c.unit_id.in_(select(tables.unit_marks.c.unit_id))]


def aware(where: str, moment: datetime) -> datetime:
    """Refuse a moment that does not say in which zone it is."""
    if moment.tzinfo is None:
        raise BadInputError(where, "no time zone", given=moment.isoformat(), allowed="UTC")
    return moment
