"""The counts at the left of the Records bay, each a filter of the list."""

from collections.abc import Mapping
from dataclasses import dataclass

from app.desktop.presenters.mark import Mark, mark_of
from app.desktop.presenters.records_query import RecordsQuery
from app.records.counts import Tally, VerdictCounts
from app.records.filters import Kind
from dsp.conformity.verdict import Verdict

_GROUPED_FROM = 10_000


@dataclass(frozen=True, slots=True, kw_only=True)
class CountRow:
    """One line: what is counted, how many there are; ``key`` filters the list by it."""

    key: str
    name: str
    count: str
    mark: Mark | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class CountsState:
    """The left column.

    Attributes
    ----------
    total : int
        Takes in the list.
    told : str
        The same in words.
    lots, verdicts, kinds : tuple of CountRow
        Each counted under the other filters, so that a number is what its row leads to.
    lots_told : str
        How many lots there are.
    """

    total: int
    told: str
    lots: tuple[CountRow, ...]
    verdicts: tuple[CountRow, ...]
    kinds: tuple[CountRow, ...]
    lots_told: str


def counts_state(tally: Tally, kinds: Mapping[Kind, int], *, query: RecordsQuery) -> CountsState:
    """Present the counts of a list.

    Parameters
    ----------
    tally : Tally
        Of ``query.lot_filters``: every lot and verdict.
    kinds : mapping of Kind to int
        Of ``query.kind_filters``.
    query : RecordsQuery
        What was asked for.
    """
    of_lot = _of_lot(tally, query.lot)
    lots = [
        CountRow(key=lot.lot, name=lot.lot, count=count_text(number))
        for lot in tally.lots
        if lot.lot is not None
        and ((number := _of(lot.takes, query.verdict)) or lot.lot == query.lot)
    ]
    total = _of(of_lot, query.verdict)
    return CountsState(
        total=total,
        told=takes_text(total),
        lots=tuple(lots),
        verdicts=tuple(
            CountRow(
                key=verdict.value,
                name=verdict.value,
                count=count_text(of_lot.of(verdict)),
                mark=mark_of(verdict),
            )
            for verdict in Verdict
        ),
        kinds=tuple(
            CountRow(key=kind.value, name=kind.value, count=count_text(kinds.get(kind, 0)))
            for kind in Kind
        ),
        lots_told=f"{len(lots)} lots" if len(lots) > 1 else "",
    )


def takes_text(number: int) -> str:
    """Write how many takes: ``1 take``, ``12 345 takes``."""
    return "1 take" if number == 1 else f"{count_text(number)} takes"


def count_text(number: int) -> str:
    """Write a count, thousands apart from five digits on."""
    if number < _GROUPED_FROM:
        return str(number)
    return f"{number:,}".replace(",", "\N{NO-BREAK SPACE}")


def _of_lot(tally: Tally, lot: str | None) -> VerdictCounts:
    if lot is None:
        return tally.takes
    return next((one.takes for one in tally.lots if one.lot == lot), VerdictCounts())


def _of(counts: VerdictCounts, verdict: Verdict | None) -> int:
    return counts.total if verdict is None else counts.of(verdict)
