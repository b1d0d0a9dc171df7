"""What a draft does to stored units: yields, the table against inspection, units that change."""

import math
from collections.abc import Sequence
from dataclasses import dataclass
from typing import overload

import numpy as np

from app.desktop.presenters.figures import NONE
from app.desktop.presenters.mark import Mark, mark_of
from app.measure.compare_trials import Comparison, Flip, Flips, Found
from app.measure.trial import Trial
from dsp.conformity.verdict import Verdict

_MANY = 100  # units; with fewer, one of them is more than 1 %
FOUND: tuple[Found, ...] = ("good", "bad", "unknown")


@dataclass(frozen=True, slots=True, kw_only=True)
class CountRow:
    """One verdict against what inspection found; ``loud`` cells are what it costs."""

    verdict: str
    cells: tuple[str, str, str]
    loud: tuple[bool, bool, bool]


@dataclass(frozen=True, slots=True, kw_only=True)
class FlipRow:
    """One unit that changes: two lines, its mark, its place in the trial."""

    unit: int
    serial: str
    after: str
    why: str
    mark: Mark
    whole_serial: str


@dataclass(frozen=True, slots=True, eq=False, kw_only=True)
class FlipRows(Sequence[FlipRow]):
    """Rows of units that change, thousands of which nobody looks at while a hand moves."""

    trial: Trial
    flips: Flips

    def __len__(self) -> int:
        return len(self.flips)

    @overload
    def __getitem__(self, at: int) -> FlipRow: ...

    @overload
    def __getitem__(self, at: slice) -> tuple[FlipRow, ...]: ...

    def __getitem__(self, at: int | slice) -> FlipRow | tuple[FlipRow, ...]:
        if isinstance(at, slice):
            return tuple(self[place] for place in range(*at.indices(len(self))))
        flip = self.flips[at]
        return _flip(self.trial, flip, name=self.trial.names[flip.unit])

    def says_what(self, other: Sequence[FlipRow]) -> bool:
        """Tell whether other rows say the same, unit by unit."""
        if not isinstance(other, FlipRows):
            return not self and not other
        mine, theirs = self.flips, other.flips
        return (
            self.trial is other.trial
            and mine.names == theirs.names
            and np.array_equal(mine.units, theirs.units)
            and np.array_equal(mine.cause, theirs.cause)
            and np.array_equal(mine.draft.fails[mine.units], theirs.draft.fails[theirs.units])
        )


@dataclass(frozen=True, slots=True, kw_only=True)
class TrialState:
    """The right column.

    Attributes
    ----------
    fact : str
        How many units, of which lots.
    now_name, now, draft_name, draft : str
        The two yields, and what they are called.
    counts : tuple of CountRow
        By verdict.
    escapes, false_rejects : str
        With what they were.
    flips_fact : str
        How many change.
    flips : sequence of FlipRow
        Bad units first; each is made when it is asked for.
    """

    fact: str
    now_name: str
    now: str
    draft_name: str
    draft: str
    counts: tuple[CountRow, ...]
    escapes: str
    false_rejects: str
    flips_fact: str
    flips: Sequence[FlipRow]


def trial_state(
    trial: Trial | None, found: Comparison | None, *, now_name: str, draft_name: str
) -> TrialState:
    """Return the right column; dashes, not zeros, where nothing was measured."""
    if trial is None or found is None or not trial.size:
        return _empty(now_name, draft_name)
    return TrialState(
        fact=_units(trial),
        now_name=now_name,
        now=percent(found.now.yielded, of=trial.size),
        draft_name=draft_name,
        draft=percent(found.draft.yielded, of=trial.size),
        counts=_counts(found),
        escapes=_was(found.escapes, found.escapes_now),
        false_rejects=_was(found.false_rejects, found.false_rejects_now),
        flips_fact=f"{len(found.flips)} of {trial.size}",
        flips=FlipRows(trial=trial, flips=found.flips),
    )


def percent(share: float, *, of: int) -> str:
    """Write a share of units; no more places than the number of units tells apart."""
    if math.isnan(share):
        return NONE
    places = 1 if of >= _MANY else 0
    return f"{100 * share:.{places}f} %"


def _units(trial: Trial) -> str:
    lots = trial.lots
    units = f"{trial.size} unit{'s' if trial.size != 1 else ''}"
    if not lots:
        return units
    return f"{units}, {lots[0]}" + (f" to {_tail(lots)}" if len(lots) > 1 else "")


def _tail(lots: tuple[str, ...]) -> str:
    # T4-W27 to W31: what both begin with is said once.
    first, last = lots[0].split("-"), lots[-1].split("-")
    same = 0
    while same < min(len(first), len(last)) - 1 and first[same] == last[same]:
        same += 1
    return "-".join(last[same:])


def _counts(found: Comparison) -> tuple[CountRow, ...]:
    rows = []
    for verdict in (Verdict.CONFORMS, Verdict.DOES_NOT_CONFORM, Verdict.NOT_DECIDED):
        counted = [found.counts.get((verdict, mark), 0) for mark in FOUND]
        if verdict is Verdict.NOT_DECIDED and not any(counted):
            continue
        costs = {Verdict.CONFORMS: 1, Verdict.DOES_NOT_CONFORM: 0}.get(verdict)
        good, bad, unknown = (place == costs and bool(count) for place, count in enumerate(counted))
        rows.append(
            CountRow(
                verdict=verdict.value,
                cells=(str(counted[0]), str(counted[1]), str(counted[2])),
                loud=(good, bad, unknown),
            )
        )
    return tuple(rows)


def _was(count: int, before: int) -> str:
    return f"{count}, was {before}" if count != before else str(count)


def _flip(trial: Trial, flip: Flip, *, name: str) -> FlipRow:
    unit = trial.units[flip.unit]
    false_reject = unit.mark == "good" and flip.after is Verdict.DOES_NOT_CONFORM
    escape = unit.mark == "bad" and flip.after is Verdict.CONFORMS
    found: str = unit.mark or "not inspected"
    if false_reject or escape:
        found += ": a false reject" if false_reject else ": an escape"
    elif unit.mark and unit.why:
        found += f", {unit.why}"
    return FlipRow(
        unit=flip.unit,
        serial=name,
        after=f"→ {flip.after.value}",
        why=f"{found} ({flip.mask})" if flip.mask else found,
        mark=mark_of(flip.after),
        whole_serial=unit.serial,
    )


def _empty(now_name: str, draft_name: str) -> TrialState:
    rows = tuple(
        CountRow(verdict=verdict, cells=(NONE, NONE, NONE), loud=(False, False, False))
        for verdict in ("conforms", "does not conform")
    )
    return TrialState(
        fact="no units",
        now_name=now_name,
        now=NONE,
        draft_name=draft_name,
        draft=NONE,
        counts=rows,
        escapes=NONE,
        false_rejects=NONE,
        flips_fact="",
        flips=(),
    )
