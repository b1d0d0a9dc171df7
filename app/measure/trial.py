"""Stored units made ready to be judged again: their newest takes, laid out for arithmetic."""

from collections.abc import Collection, Mapping, Sequence
from dataclasses import dataclass, field
from datetime import datetime

import numpy as np

from app.measure.aligned import Aligner
from app.measure.held_columns import columns_of_numbers, columns_of_set
from app.procedure.names import CURVES, NUMBERS
from app.records.decisions import Mark
from app.records.store import Store
from app.records.take import Take
from app.records.unit_takes import UnitTake
from dsp import Bools, Number, read_only
from dsp.conformity.against import Against, against
from dsp.conformity.verdict import MaskResult, Verdict

MOST_UNITS = 20_000


@dataclass(frozen=True, slots=True, kw_only=True)
class TrialUnit:
    """One unit of a trial.

    Attributes
    ----------
    take_id, number : str, int
        Of its newest take: the id, and the running number in the store.
    serial : str
        Its own.
    lot : str or None
        Of that take.
    started_utc : datetime
        When the take began.
    mark : "good", "bad" or None
        What inspection found; None: nobody looked.
    why : str
        Of that mark.
    verdict : Verdict
        What that take was judged to be when it was made.
    """

    take_id: str
    number: int
    serial: str
    lot: str | None
    started_utc: datetime
    mark: Mark | None = None
    why: str = ""
    verdict: Verdict = Verdict.NOT_JUDGED


@dataclass(frozen=True, slots=True, eq=False, kw_only=True)
class Trial:
    """Units of a procedure with everything that its masks look at.

    Attributes
    ----------
    procedure : str
        Its name.
    units : tuple of TrialUnit
        The newest first.
    names : tuple of str
        Their serials, cut to the last part where that is enough to tell all of them apart.
    good, bad : (units,) bool array
        Units that inspection found so; neither: nobody looked.
    barred : (units,) bool array
        Units whose take must not be judged at all: clipped, channel lost, calibration overdue.
    sets : mapping of quantity to tuple of Against
        Curves as they are; every quantity that was asked for.
    relative : mapping of quantity to tuple of Against
        Curves less the reference take's; without those that it doesn't have.
    numbers : mapping of quantity to sequence of Number or None
        In the order of the units; every quantity that was asked for.
    reference : Take or None
        What relative masks compare with.
    columns : mapping of (quantity, relative) to tuple of Aligner
        All of that laid out to be judged.
    """

    procedure: str
    units: tuple[TrialUnit, ...]
    names: tuple[str, ...]
    good: Bools
    bad: Bools
    barred: Bools
    sets: Mapping[str, tuple[Against, ...]]
    relative: Mapping[str, tuple[Against, ...]]
    numbers: Mapping[str, Sequence[Number | None]]
    reference: Take | None
    columns: Mapping[tuple[str, bool], tuple[Aligner, ...]]
    _lots: list[tuple[str, ...]] = field(default_factory=list, repr=False)

    def held_against(self, quantity: str, *, relative: bool) -> tuple[Aligner, ...]:
        """Return what a mask of a quantity is held against, one of a set of units each."""
        return self.columns.get((quantity, relative), ())

    @property
    def size(self) -> int:
        """How many units there are."""
        return len(self.units)

    @property
    def lots(self) -> tuple[str, ...]:
        """Names of their lots, sorted."""
        if not self._lots:
            self._lots.append(tuple(sorted({one.lot for one in self.units if one.lot})))
        return self._lots[0]


def load_trial(
    store: Store, *, name: str, quantities: Collection[str], lot: str | None = None
) -> Trial:
    """Read the newest take of each unit that was measured by a procedure, whatever its revision.

    Parameters
    ----------
    store : Store
        Where the takes are.
    name : str
        Of the procedure.
    quantities : collection of str
        Curves and numbers that masks will look at.
    lot : str or None
        Units of this lot only.

    Returns
    -------
    Trial of the newest ``MOST_UNITS`` units.
    """
    found = store.newest_unit_takes(limit=MOST_UNITS, procedure=name, lot=lot)
    rows = [one.number for one in found]
    wanted = sorted(quantities)
    reference = store.reference(name)
    read_curves = store.curve_sets([one for one in wanted if one in CURVES], takes=rows)
    sets = {one: tuple(against(group) for group in those) for one, those in read_curves.items()}
    relative = _relative(sets, reference=reference)
    numbers = store.number_lists([one for one in wanted if one in NUMBERS], takes=rows)
    units = _units(found, store=store)
    return Trial(
        procedure=name,
        units=units,
        names=_names([one.serial for one in found]),
        good=_marked(units, "good"),
        bad=_marked(units, "bad"),
        barred=_barred(found, store=store),
        sets=sets,
        relative=relative,
        numbers=numbers,
        reference=reference,
        columns=_columns(sets, relative, numbers, reference=reference),
    )


def _columns(
    sets: Mapping[str, Sequence[Against]],
    relative: Mapping[str, Sequence[Against]],
    numbers: Mapping[str, Sequence[Number | None]],
    *,
    reference: Take | None,
) -> dict[tuple[str, bool], tuple[Aligner, ...]]:
    columns = {
        (name, is_relative): tuple(Aligner(held=columns_of_set(one)) for one in those)
        for is_relative, kind in ((False, sets), (True, relative))
        for name, those in kind.items()
    }
    for name, those in numbers.items():
        columns[name, False] = (Aligner(held=columns_of_numbers(those)),)
        if reference is not None and name in reference.numbers:
            held = columns_of_numbers(those, reference=reference.numbers[name])
            columns[name, True] = (Aligner(held=held),)
    return columns


def _names(serials: list[str]) -> tuple[str, ...]:
    tails = [serial.rsplit("-", 1)[-1] for serial in serials]
    return tuple(tails if len(set(tails)) == len(tails) else serials)


def _units(found: Sequence[UnitTake], *, store: Store) -> tuple[TrialUnit, ...]:
    marks = store.marks()
    units = []
    for one in found:
        mark = marks.get(one.serial)
        units.append(
            TrialUnit(
                take_id=one.id,
                number=one.number,
                serial=one.serial,
                lot=one.lot,
                started_utc=one.started_utc,
                verdict=one.verdict,
                mark=mark.mark if mark else None,
                why=mark.why if mark else "",
            )
        )
    return tuple(units)


def _marked(units: Sequence[TrialUnit], mark: Mark) -> Bools:
    return read_only(np.array([unit.mark == mark for unit in units], dtype=np.bool_))


def _barred(found: Sequence[UnitTake], *, store: Store) -> Bools:
    """Tell which takes were left undecided as a whole, whatever the masks were."""
    undecided = [one.id for one in found if one.verdict is Verdict.NOT_DECIDED]
    barred = {
        take_id
        for take_id, masks in store.masks(take_ids=undecided).items()
        if _says_nothing(tuple(masks.values()))
    }
    return read_only(np.array([one.id in barred for one in found], dtype=np.bool_))


def _says_nothing(results: Sequence[MaskResult]) -> bool:
    # judge() gives one and the same reason to all masks of a take not to be trusted, and no margin.
    reasons = {result.reason for result in results}
    no_margin = all(np.isnan(result.margin) for result in results)
    return len(reasons) == 1 and reasons != {""} and no_margin


def _relative(
    sets: Mapping[str, Sequence[Against]], *, reference: Take | None
) -> dict[str, tuple[Against, ...]]:
    if reference is None:
        return {}
    twins = {name: reference.curves[name] for name in sets if name in reference.curves}
    return {
        name: tuple(
            against(one.curves, reference=twin)
            for one in sets[name]
            if one.curves.unit == twin.unit and twin.frequency_hz.size
        )
        for name, twin in twins.items()
    }
