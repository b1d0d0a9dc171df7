"""How many takes, lot by lot and verdict by verdict: the counts that filter a list of takes."""

from collections import defaultdict
from collections.abc import Iterable
from dataclasses import dataclass

from sqlalchemy import Connection, func, select

from app.records import tables
from app.records.filters import Filters, Kind, conditions, kind_conditions
from dsp.conformity.verdict import Verdict


@dataclass(frozen=True, slots=True, kw_only=True)
class VerdictCounts:
    """How many of something conform, do not, were not decided, or had no mask to be judged by."""

    conforms: int = 0
    does_not_conform: int = 0
    not_decided: int = 0
    not_judged: int = 0

    @property
    def judged(self) -> int:
        """Those that were held against masks, whatever came of it."""
        return self.conforms + self.does_not_conform + self.not_decided

    @property
    def total(self) -> int:
        """All of them together."""
        return self.judged + self.not_judged

    @property
    def share_conforming(self) -> float | None:
        """The yield, 0 to 1: those that conform among the judged; None where none was."""
        return self.conforms / self.judged if self.judged else None

    def of(self, verdict: Verdict) -> int:
        """Return how many have a verdict."""
        match verdict:
            case Verdict.CONFORMS:
                return self.conforms
            case Verdict.DOES_NOT_CONFORM:
                return self.does_not_conform
            case Verdict.NOT_DECIDED:
                return self.not_decided
            case Verdict.NOT_JUDGED:
                return self.not_judged

    @classmethod
    def summed(cls, counts: Iterable[tuple[str, int]]) -> "VerdictCounts":
        """Add up pairs of a verdict's word and a number."""
        sums: dict[str, int] = defaultdict(int)
        for verdict, number in counts:
            sums[verdict] += number
        return cls(
            conforms=sums[Verdict.CONFORMS],
            does_not_conform=sums[Verdict.DOES_NOT_CONFORM],
            not_decided=sums[Verdict.NOT_DECIDED],
            not_judged=sums[Verdict.NOT_JUDGED],
        )


@dataclass(frozen=True, slots=True, kw_only=True)
class LotCounts:
    """One production lot of a list of takes; ``lot`` is None for takes of no lot."""

    lot: str | None
    takes: VerdictCounts


@dataclass(frozen=True, slots=True, kw_only=True)
class Tally:
    """A list of takes, counted.

    ``lots`` comes with the lot that began last first, and takes of no lot at the end.
    """

    takes: VerdictCounts
    lots: tuple[LotCounts, ...]


def tally(filters: Filters, *, on: Connection) -> Tally:
    """Count the takes that pass every filter, by lot and verdict."""
    takes, lots, only = tables.takes, tables.lots, filters.get("verdict")
    counted = (
        select(
            takes.c.lot_id,
            takes.c.verdict,
            func.count().label("number"),
        )
        # All verdicts are counted on the one way through the index, whichever was asked for.
        .where(*conditions({**filters, "verdict": None}, on=on))
        .group_by(takes.c.lot_id, takes.c.verdict)
    ).subquery()
    rows = on.execute(
        select(lots.c.name, counted.c.verdict, counted.c.number)
        .select_from(counted.outerjoin(lots, lots.c.id == counted.c.lot_id))
        .order_by(counted.c.lot_id.is_(None), counted.c.lot_id.desc())
    ).all()
    by_lot: dict[str | None, list[tuple[str, int]]] = defaultdict(list)
    kept = [row for row in rows if only is None or row.verdict == only.value]
    for row in kept:
        by_lot[row.name].append((row.verdict, row.number))
    return Tally(
        takes=VerdictCounts.summed((row.verdict, row.number) for row in kept),
        lots=tuple(
            LotCounts(lot=name, takes=VerdictCounts.summed(parts)) for name, parts in by_lot.items()
        ),
    )


def unit_counts(lot: str, *, procedure: str | None, on: Connection) -> VerdictCounts:
    """Count the units of a lot by the verdict of their newest take."""
    takes = tables.takes
    filters = Filters(lot=lot, procedure=procedure)
    newest_first = func.row_number().over(
        partition_by=takes.c.unit_id, order_by=(takes.c.started_utc.desc(), takes.c.row.desc())
    )
    ranked = (
        select(takes.c.verdict, newest_first.label("rank")).where(
            *conditions(filters, on=on), takes.c.unit_id.is_not(None)
        )
    ).subquery()
    rows = on.execute(
        select(ranked.c.verdict, func.count()).where(ranked.c.rank == 1).group_by(ranked.c.verdict)
    )
    return VerdictCounts.summed((verdict, number) for verdict, number in rows)


def kind_counts(filters: Filters, *, on: Connection) -> dict[Kind, int]:
    """Count the takes of each kind among those that pass every filter."""
    everyone = conditions({**filters, "kind": None}, on=on)
    counted = select(func.count()).select_from(tables.takes)
    return {
        kind: on.execute(counted.where(*kind_conditions(kind), *everyone)).scalar_one()
        for kind in Kind
    }
