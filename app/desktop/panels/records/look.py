"""What the worker fetches for the list of takes: a page of it first, then counts and a trend."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from datetime import datetime

from app.desktop.presenters.measure_stated import level_unit
from app.desktop.presenters.records_counts import CountsState, counts_state
from app.desktop.presenters.records_query import RecordsQuery
from app.desktop.presenters.records_table import (
    FigureColumn,
    FigureKind,
    TakeLine,
    figure_columns,
    take_line,
)
from app.desktop.presenters.records_trend import MARGIN, TrendState, trend_state
from app.errors import BadInputError
from app.procedure.mask_schema import Mask
from app.procedure.names import NUMBERS
from app.records.find_takes import TakeSummary
from app.records.store import Store

PAGE = 50  # takes
TREND = 1000  # takes, the newest


@dataclass(frozen=True, slots=True, eq=False, kw_only=True)
class ListOf:
    """What a page of the list is made by: the query, the columns, the newest moment of all."""

    query: RecordsQuery
    columns: tuple[FigureColumn, ...]
    newest: datetime


@dataclass(frozen=True, slots=True, eq=False, kw_only=True)
class Found:
    """A list of takes.

    Attributes
    ----------
    list_of : ListOf or None
        For the pages to come; None for an empty list.
    total : int or None
        How many takes it has; None where that takes longer to tell than the page: the counts do.
    lines : tuple of TakeLine
        Its first page.
    row : int or None
        Place of the take that was chosen; None where it is not in the list.
    masks : mapping of str to Mask
        Of the procedure of its newest take.
    numbers : tuple of str
        Names of the numbers of its newest take.
    """

    list_of: ListOf | None
    total: int | None
    lines: tuple[TakeLine, ...]
    row: int | None
    masks: Mapping[str, Mask]
    numbers: tuple[str, ...]


@dataclass(frozen=True, slots=True, eq=False, kw_only=True)
class Followed:
    """A trend, ready to be painted; ``key`` is that of its TrendChoice."""

    key: str
    state: TrendState


def look(store: Store, *, query: RecordsQuery, chosen: str | None) -> Found:
    """Look a list up."""
    summaries = store.find(limit=PAGE, **query.filters)
    if not summaries:
        return Found(list_of=None, total=0, lines=(), row=None, masks={}, numbers=())
    first = summaries[0]
    masks = _masks_of(store, first)
    numbers = tuple(store.numbers(NUMBERS, take_ids=[first.id])[first.id])
    list_of = ListOf(
        query=query,
        columns=figure_columns(numbers, masks=masks),
        newest=first.started_utc,
    )
    row = None if chosen is None else store.place_of(chosen, **query.filters)
    total: int | None = len(summaries)
    if total == PAGE:
        is_quick = not query.text.strip() or (row is not None and row >= PAGE)
        total = store.count(**query.filters) if is_quick else None
    return Found(
        list_of=list_of,
        total=total,
        lines=_lines(store, summaries, list_of=list_of),
        row=row,
        masks=masks,
        numbers=numbers,
    )


def counted(store: Store, *, query: RecordsQuery) -> CountsState:
    """Count a list for the left column."""
    return counts_state(
        store.tally(**query.lot_filters), store.kind_counts(**query.kind_filters), query=query
    )


def page(store: Store, *, list_of: ListOf, number: int) -> tuple[TakeLine, ...]:
    """Fetch a page of a list; the first is 0."""
    summaries = store.find(limit=PAGE, offset=PAGE * number, **list_of.query.filters)
    return _lines(store, summaries, list_of=list_of)


def follow(
    store: Store, *, query: RecordsQuery, key: str, masks: Mapping[str, Mask], procedure: str
) -> Followed:
    """Fetch the figure of a TrendChoice over the newest takes of a list."""
    if key.startswith(MARGIN):
        trend = store.margin_trend(key.removeprefix(MARGIN), limit=TREND, **query.filters)
        return Followed(key=key, state=trend_state(trend, key=key, masks=masks))
    trend = store.trend(key, limit=TREND, **query.filters)
    reference = None
    if any(mask.relative_to and mask.quantity == key for mask in masks.values()):
        take = store.reference(procedure)
        reference = take.numbers.get(key) if take is not None else None
    stated = ""
    if key == "sensitivity_db" and trend.points:
        newest = store.take(trend.points[-1].take_id)
        stated = level_unit(newest.procedure, chain=newest.chain.chain)
    state = trend_state(trend, key=key, masks=masks, reference=reference, stated=stated)
    return Followed(key=key, state=state)


def _masks_of(store: Store, summary: TakeSummary) -> Mapping[str, Mask]:
    try:
        procedure = store.revised_procedure(summary.procedure_sha256)
    except BadInputError:  # of a version that wrote it otherwise; the list can do without
        return {}
    return {} if procedure is None else procedure.masks


def _lines(
    store: Store, summaries: Sequence[TakeSummary], *, list_of: ListOf
) -> tuple[TakeLine, ...]:
    ids = [summary.id for summary in summaries]
    names = [column.name for column in list_of.columns if column.kind is FigureKind.NUMBER]
    numbers = store.numbers(names, take_ids=ids)
    masks = store.masks(take_ids=ids)
    return tuple(
        take_line(
            summary,
            columns=list_of.columns,
            numbers=numbers[summary.id],
            masks=masks[summary.id],
            newest=list_of.newest,
        )
        for summary in summaries
    )
