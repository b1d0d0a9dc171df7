"""What stands beside the verdict panel: counts and yield, the reference unit, the last units."""

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import datetime

from app.desktop.presenters.mark import Mark, mark_of
from app.procedure.schema import Procedure
from app.records.counts import VerdictCounts
from app.records.find_takes import TakeSummary
from app.records.take import Take
from dsp.conformity.verdict import Verdict

SHOWN_UNITS = 24
_FEW = 20  # units; below, a tenth of a per cent says nothing


@dataclass(frozen=True, slots=True, kw_only=True)
class CountRow:
    """One verdict and how many units have it."""

    mark: Mark
    word: str
    count: str


@dataclass(frozen=True, slots=True, kw_only=True)
class CountsState:
    """Units of the lot by verdict; ``title`` and ``fact`` stand in the head."""

    title: str
    fact: str
    rows: tuple[CountRow, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class ReferenceState:
    """What relative masks count from; ``needed`` tells whether there is any."""

    unit: str
    mark: Mark
    sentence: str
    needed: bool


@dataclass(frozen=True, slots=True, kw_only=True)
class LastUnit:
    """One of the last units: its take, its mark, and what is read aloud of it."""

    take_id: str
    mark: Mark
    words: str


def counts_state(counts: VerdictCounts, *, lot: str | None) -> CountsState:
    """Present how the units of a lot, or those of today without one, came out."""
    return CountsState(
        title=f"Lot {lot}" if lot else "Today, no lot",
        fact=_yield(counts),
        rows=tuple(
            CountRow(mark=mark_of(verdict), word=verdict.value, count=str(counts.of(verdict)))
            for verdict in Verdict
            # A line has limits: only where it had none does that have a row of its own.
            if verdict is not Verdict.NOT_JUDGED or counts.not_judged
        ),
    )


def _yield(counts: VerdictCounts) -> str:
    share = counts.share_conforming
    if share is None:
        return "no yield: none judged" if counts.total else "no unit yet"
    places = 1 if counts.judged >= _FEW else 0
    return f"yield {100 * share:.{places}f} %"


def reference_state(
    reference: Take | None, *, procedure: Procedure, now: datetime
) -> ReferenceState:
    """Present the reference unit of a procedure."""
    count = sum(mask.relative_to is not None for mask in procedure.masks.values())
    masks = "1 mask counts" if count == 1 else f"{count} masks count"
    if reference is None:
        sentence = f"{masks} from it, and none is set: open its take in Measure, press Ctrl R."
        return ReferenceState(
            unit="not set", mark=Mark.CAUTION, sentence=sentence, needed=count > 0
        )
    made = reference.started_utc.astimezone(now.tzinfo)
    when = f"{made:%H:%M} today" if made.date() == now.date() else f"{made:%Y-%m-%d %H:%M}"
    return ReferenceState(
        unit=reference.unit or "no serial",
        mark=Mark.GOOD,
        sentence=f"Measured {when}. {masks} from it.",
        needed=count > 0,
    )


def last_units(summaries: Sequence[TakeSummary]) -> tuple[LastUnit, ...]:
    """Present the last units, the newest last."""
    newest_first = summaries[:SHOWN_UNITS]
    return tuple(
        LastUnit(
            take_id=one.id,
            mark=mark_of(one.verdict),
            words=f"{one.unit or 'no serial'}, take {one.number}: {one.verdict.value}",
        )
        for one in reversed(newest_first)
    )
