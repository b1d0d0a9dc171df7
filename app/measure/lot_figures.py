"""How lots, or weeks, went: first-pass yield, and what most often stood in its way."""

from collections import Counter, defaultdict
from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from datetime import datetime
from typing import Literal

from app.records.first_takes import FirstTake
from app.records.store import Store
from dsp.conformity.verdict import Verdict
from dsp.statistics.control_chart import ControlChart, p_chart
from dsp.statistics.proportion import Proportion, proportion

Group = Literal["lot", "week"]


@dataclass(frozen=True, slots=True, kw_only=True)
class Bar:
    """One bar of a Pareto chart.

    Attributes
    ----------
    name : str
        A mask or a cause.
    count : int
        Units.
    share : float
        Of the units that did not pass, 0 to 1.
    running : float
        Share of all that was counted up to and with this bar, 0 to 1.
    """

    name: str
    count: int
    share: float
    running: float


@dataclass(frozen=True, slots=True, kw_only=True)
class LotFigures:
    """One lot, or one week.

    Attributes
    ----------
    name : str
        Of the lot, or ``2026-W31`` (ISO 8601); empty for units of no lot.
    since_utc, until_utc : datetime
        First takes began between these.
    units : int
        That were judged.
    first_pass : Proportion
        Those whose first take conformed.
    undecided : int
        Those whose first take was not decided; they did not pass at once.
    masks : tuple of Bar
        Masks that first takes did not conform to, the most frequent first; a unit may fail
        several.
    findings : tuple of Bar
        Likeliest causes of the units that did not pass.
    """

    name: str
    since_utc: datetime
    until_utc: datetime
    units: int
    first_pass: Proportion
    undecided: int
    masks: tuple[Bar, ...]
    findings: tuple[Bar, ...]


@dataclass(frozen=True, slots=True, eq=False, kw_only=True)
class LotReport:
    """All lots, or weeks, of a procedure.

    Attributes
    ----------
    groups : tuple of LotFigures
        The oldest first.
    total : LotFigures or None
        All together; None without a unit.
    chart : ControlChart or None
        Share of each group that did not pass at once, with control limits; None below two groups.
    """

    groups: tuple[LotFigures, ...]
    total: LotFigures | None
    chart: ControlChart | None


def lot_figures(
    store: Store,
    *,
    procedure: str,
    by: Group = "lot",
    lot: str | None = None,
    since: datetime | None = None,
) -> LotReport:
    """Count the first takes of all units of a procedure.

    Parameters
    ----------
    store : Store
        Where they are.
    procedure : str
        Its name.
    by : "lot" or "week"
        What is put together: production lots, or ISO weeks of the first take.
    lot : str or None
        This lot only.
    since : datetime or None
        First takes from then on, aware; None: all.

    Returns
    -------
    LotReport
    """
    judged = [
        one
        for one in store.first_of_units(procedure=procedure, lot=lot, since=since)
        if one.verdict is not Verdict.NOT_JUDGED
    ]
    groups: dict[str, list[FirstTake]] = defaultdict(list)
    for one in judged:
        groups[(one.lot or "") if by == "lot" else week_of(one.started_utc)].append(one)
    figures = tuple(_figures(name, takes) for name, takes in groups.items())
    chart = None
    if len(figures) > 1:
        chart = p_chart(
            [one.units - one.first_pass.count for one in figures], [one.units for one in figures]
        )
    return LotReport(groups=figures, total=_figures("", judged) if judged else None, chart=chart)


def week_of(moment: datetime) -> str:
    """Return the week of a moment as ISO 8601 writes it."""
    year, week, _ = moment.isocalendar()
    return f"{year}-W{week:02d}"


def _figures(name: str, takes: Sequence[FirstTake]) -> LotFigures:
    passed = sum(one.verdict is Verdict.CONFORMS for one in takes)
    stopped = [one for one in takes if one.verdict is not Verdict.CONFORMS]
    return LotFigures(
        name=name,
        since_utc=takes[0].started_utc,
        until_utc=takes[-1].started_utc,
        units=len(takes),
        first_pass=proportion(passed, of=len(takes)),
        undecided=sum(one.verdict is Verdict.NOT_DECIDED for one in takes),
        masks=_pareto((mask for one in stopped for mask in one.failed), of=len(stopped)),
        findings=_pareto(
            (max(one.causes, key=lambda cause: one.causes[cause]) for one in stopped if one.causes),
            of=len(stopped),
        ),
    )


def _pareto(names: Iterable[str], *, of: int) -> tuple[Bar, ...]:
    counts = Counter(names)
    total, running, bars = counts.total(), 0, []
    for name, count in sorted(counts.items(), key=lambda item: (-item[1], item[0])):
        running += count
        bars.append(Bar(name=name, count=count, share=count / of, running=running / total))
    return tuple(bars)
