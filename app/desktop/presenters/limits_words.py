"""What the row says while the Limits bay is open: what the draft does, and what to do next."""

from collections.abc import Sequence
from dataclasses import dataclass, replace

from app.desktop.presenters.bay_words import BayWords
from app.desktop.presenters.mark import Mark
from app.measure.compare_trials import Comparison
from app.measure.trial import Trial
from app.procedure.limit_difference import MaskChange
from app.records.limit_revisions import LimitRevision

_MOST_NAMED = 2
_MOST_CHANGES = 2


@dataclass(frozen=True, slots=True, kw_only=True)
class Standing:
    """What is on the bench, and what lines run.

    Attributes
    ----------
    on_bench : LimitRevision or None
        Which revision the bench has; None: one that was not saved.
    is_other : bool
        Whether its limits are other than those in force.
    runs : bool
        Whether the procedure names the approved revision as the one that it runs.
    now_name, bench_name : str
        What both are called within a sentence.
    next_number : int
        The number that a draft saved now would have.
    """

    on_bench: LimitRevision | None
    is_other: bool
    runs: bool
    now_name: str
    bench_name: str
    next_number: int


def words_empty(procedure: str, *, standing: Standing) -> BayWords:
    """Say that no unit stands behind the limits yet."""
    return replace(
        _offer(standing),
        happened=f"No unit has been measured with {procedure} yet: limits stand without a spread.",
        next="measure some units, or drag the limits where they should be.",
    )


def words_no_mask(procedure: str, *, has_units: bool) -> BayWords:
    """Say that nothing is judged."""
    return BayWords(
        mark=Mark.INFO,
        happened=f"{procedure[:1].upper()}{procedure[1:]} has no mask: nothing is judged.",
        next="press N to make one from the stored units."
        if has_units
        else "measure a unit; then N makes a mask from it.",
        action="new_mask",
        enabled=has_units,
    )


def words_loading(procedure: str) -> BayWords:
    """Say that the store is being read."""
    return BayWords(
        mark=Mark.BUSY,
        happened=f"Reading the units that were measured with {procedure}.",
        next="wait; limits can be moved meanwhile.",
        action="save",
        enabled=False,
    )


def words_of_limits(*, trial: Trial, found: Comparison, standing: Standing) -> BayWords:
    """Say what the limits on the bench do against those in force."""
    offer = _offer(standing)
    if not standing.is_other:
        passed = int(found.now.conforms.sum())
        happened = f"{standing.now_name[:1].upper()}{standing.now_name[1:]}"
        return replace(
            offer,
            happened=f"{happened}: {passed} of {_units(trial.size)} conform.",
            next=_next_of(standing)
            or "drag a break point, or press P to have limits proposed from these units.",
        )
    flips = found.flips.units
    stopped = flips[trial.good[flips] & found.draft.fails[flips]]
    doubtful = [trial.names[unit] for unit in stopped[:_MOST_NAMED]]
    again = f"inspect {' and '.join(doubtful)} again, or " if doubtful else ""
    return replace(
        offer,
        happened=f"Against {standing.now_name}, {standing.bench_name} {_effect(trial, found)}.",
        next=f"{again}{_next_of(standing)}",
    )


def words_held_against(one: LimitRevision, *, changes: Sequence[MaskChange], bench: str) -> str:
    """Say what is otherwise on the bench than in a revision."""
    if not changes:
        return f"Revision {one.number}, {one.state}: {bench} has the same limits."
    told = [change.words for change in changes[:_MOST_CHANGES]]
    more = len(changes) - len(told)
    if more:
        told.append(f"and {more} more mask{'s' if more != 1 else ''}")
    return f"From revision {one.number} to {bench}: {'; '.join(told)}."


def words_done(happened: str, *, next_step: str, standing: BayWords) -> BayWords:
    """Say what was done; the button stays what it was."""
    return replace(standing, mark=Mark.GOOD, happened=happened, next=next_step, progress=None)


def words_tool(asks: str, *, enter: str, standing: BayWords) -> BayWords:
    """Say what a tool at the left asks, and what Enter in it does."""
    return replace(
        standing, mark=Mark.INFO, happened=asks, next=f"Enter {enter}, Esc leaves all as it is."
    )


def words_refused(what: str, sentence: str, *, next_step: str, standing: BayWords) -> BayWords:
    """Say why something was not done."""
    return replace(
        standing, mark=Mark.BAD, happened=f"{what}: {sentence.rstrip('.')}.", next=next_step
    )


def words_ask_reason(number: int, *, standing: BayWords) -> BayWords:
    """Say what a revision needs."""
    return replace(
        standing,
        mark=Mark.INFO,
        happened=f"Revision {number} needs a name and a reason.",
        next="type both at the left; Enter in the reason saves.",
    )


def _offer(standing: Standing) -> BayWords:
    """Return mark and action; the sentences are put in by whoever knows them."""
    one = standing.on_bench
    if one is None:
        return BayWords(
            mark=Mark.UNDECIDED if standing.is_other else Mark.INFO,
            happened="",
            next="",
            action="save",
            action_text=f"Save as revision {standing.next_number}",
        )
    if one.state != "approved":
        return BayWords(
            mark=Mark.UNDECIDED if one.state == "draft" else Mark.INFO,
            happened="",
            next="",
            action="approve_limits",
            action_text=f"Approve revision {one.number}",
        )
    return BayWords(
        mark=Mark.GOOD if standing.runs else Mark.CAUTION,
        happened="",
        next="",
        action="approve_limits",
        action_text="Approved" if standing.runs else f"Run revision {one.number} here",
        enabled=not standing.runs,
    )


def _next_of(standing: Standing) -> str:
    """Say what the offered action is for; empty where there is nothing to do."""
    one = standing.on_bench
    if one is None:
        if standing.is_other:
            return f"save the draft as revision {standing.next_number}."
        return f"Ctrl S saves them as revision {standing.next_number}, which A approves."
    if one.state == "draft":
        return f"approve revision {one.number} (A), and lines run it; or go on editing."
    if one.state == "retired":
        return "edit it, approve it again (A), or put another one on the bench."
    if not standing.runs:
        return f"A writes revision {one.number} into this procedure, so that the line runs it."
    return ""


def _effect(trial: Trial, found: Comparison) -> str:
    units = found.flips.units
    fails, conforms = found.draft.fails[units], found.draft.conforms[units]
    bad, good = trial.bad[units], trial.good[units]
    kinds = {"bad": bad, "good": good, "uninspected": ~(bad | good)}
    told = [
        _told(verb, {kind: int((those & so).sum()) for kind, those in kinds.items()})
        for verb, so in (("stops", fails), ("passes", conforms))
    ]
    others = int((~(fails | conforms)).sum())
    if others:
        told.append(f"leaves {_units(others)} undecided")
    told = [one for one in told if one]
    return " and ".join(told) if told else f"changes none of {_units(trial.size)}"


def _told(verb: str, counts: dict[str, int]) -> str:
    """Count by what inspection found: ``stops 2 more bad units, 2 good``."""
    parts = [(count, kind) for kind, count in counts.items() if count]
    if not parts:
        return ""
    first, *rest = parts
    told = f"{first[0]} more {first[1]} unit{'s' if first[0] != 1 else ''}"
    told += "".join(f", {count} {kind}" for count, kind in rest)
    return f"{verb} {told}"


def _units(count: int) -> str:
    return f"{count} unit{'s' if count != 1 else ''}"
