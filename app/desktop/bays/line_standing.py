"""How the lot stands, looked up in the store away from the window's thread."""

from dataclasses import dataclass
from datetime import UTC, datetime, time

from app.desktop.presenters.line_side import SHOWN_UNITS
from app.measure.in_force import InForce, in_force
from app.procedure.schema import Procedure
from app.records.counts import VerdictCounts
from app.records.find_takes import TakeSummary
from app.records.store import Store
from app.records.take import Take


@dataclass(frozen=True, slots=True, eq=False, kw_only=True)
class Standing:
    """What the store knows of a lot.

    Attributes
    ----------
    counts : VerdictCounts
        Units of the lot; takes of today where there is no lot.
    last : tuple of TakeSummary
        The newest first.
    reference : Take or None
        What relative masks of the procedure count from.
    limits : InForce
        The procedure's limit set, and what is approved of it.
    takes : int
        In the whole store.
    """

    counts: VerdictCounts
    last: tuple[TakeSummary, ...]
    reference: Take | None
    limits: InForce
    takes: int


def look_up(store: Store, *, lot: str | None, procedure: Procedure, now: datetime) -> Standing:
    """Ask the store.

    Parameters
    ----------
    store : Store
        From any thread.
    lot : str or None
        None: whatever was measured today.
    procedure : Procedure
        Takes of others do not count.
    now : datetime
        Aware; its zone says when today began.
    """
    name = procedure.name
    if lot:
        counts = store.unit_counts(lot, procedure=name)
        last = store.newest_of_units(limit=SHOWN_UNITS, lot=lot, procedure=name)
    else:
        midnight = datetime.combine(now.date(), time(), tzinfo=now.tzinfo).astimezone(UTC)
        counts = store.verdict_counts(since=midnight, procedure=name)
        last = store.find(limit=SHOWN_UNITS, procedure=name)
    return Standing(
        counts=counts,
        last=last,
        reference=store.reference(name),
        limits=in_force(store, procedure),
        takes=store.count(),
    )


def newest_lot(store: Store) -> str | None:
    """Return the lot of the newest take: most likely the one that is on the line."""
    newest = store.find(limit=1)
    return newest[0].lot if newest else None
