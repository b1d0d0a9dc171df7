"""The good units that a take is compared with: where they come from, and what was read of them."""

from collections.abc import Iterable, Mapping
from dataclasses import dataclass

from app.records.store import Store
from app.records.take import Take
from dsp import Curve, Number
from dsp.conformity.verdict import Verdict

FEW = 10  # units of the lot itself, below which those of other lots are taken along
_MOST = 100  # the newest takes; more would hardly narrow a spread


@dataclass(frozen=True, slots=True, eq=False, kw_only=True)
class Like:
    """What was derived of one unit."""

    numbers: Mapping[str, Number]
    curves: Mapping[str, Curve]


@dataclass(frozen=True, slots=True, eq=False, kw_only=True)
class Likes:
    """Good units, and who they are in words; none where there is nobody to compare with."""

    units: tuple[Like, ...] = ()
    told: str = "nothing to compare with"


def likes_of(
    store: Store | None,
    *,
    procedure: str,
    lot: str | None,
    unit: str | None,
    numbers: Iterable[str],
    curves: Iterable[str],
) -> Likes:
    """Find the units that a take is compared with.

    Those are the newest takes of other units that conformed under the same procedure, of the same
    lot where that has enough of them; units that inspection found bad do not count. Without any,
    the reference take of the procedure stands for them.

    Parameters
    ----------
    store : Store or None
        Where takes are kept.
    procedure : str
        Its name.
    lot, unit : str or None
        Of the take.
    numbers, curves : iterable of str
        What of them is wanted.

    Returns
    -------
    Likes
    """
    if store is None:
        return Likes()
    bad = {serial for serial, one in store.marks().items() if one.mark == "bad"}
    for of_lot in (lot, None) if lot is not None else (None,):
        found = store.find(procedure=procedure, lot=of_lot, verdict=Verdict.CONFORMS, limit=_MOST)
        apart = [one for one in found if one.unit is None or one.unit not in bad | {unit}]
        ids = list({one.unit or one.id: one.id for one in reversed(apart)}.values())
        if len(ids) >= (FEW if of_lot is not None else 1):
            where = f" of lot {of_lot}" if of_lot is not None else ""
            good = "good unit" if len(ids) == 1 else "good units"
            return Likes(
                units=_read(store, ids=ids, numbers=numbers, curves=curves),
                told=f"{len(ids)} {good}{where}",
            )
    return of_reference(store.reference(procedure))


def of_reference(reference: Take | None) -> Likes:
    """Let a reference take stand for all good units."""
    if reference is None:
        return Likes()
    one = Like(numbers=reference.numbers, curves=reference.curves)
    return Likes(units=(one,), told="the reference take")


def _read(
    store: Store, *, ids: list[str], numbers: Iterable[str], curves: Iterable[str]
) -> tuple[Like, ...]:
    known = store.numbers(numbers, take_ids=ids)
    drawn = {name: store.curves(name, take_ids=ids) for name in curves}
    return tuple(
        Like(
            numbers=known[take_id],
            curves={name: of[take_id] for name, of in drawn.items() if take_id in of},
        )
        for take_id in ids
    )
