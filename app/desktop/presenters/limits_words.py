"""What the row says while the Limits bay is open: what the draft does, and what to do next."""

from dataclasses import replace

from app.desktop.presenters.bay_words import BayWords
from app.desktop.presenters.mark import Mark
from app.measure.compare_trials import Comparison
from app.measure.trial import Trial
from dsp.conformity.verdict import Verdict

_MOST_NAMED = 2


def words_empty(procedure: str, *, is_draft: bool, number: int) -> BayWords:
    """Say that no unit stands behind the limits yet."""
    return BayWords(
        mark=Mark.UNDECIDED if is_draft else Mark.INFO,
        happened=f"No unit has been measured with {procedure} yet: limits stand without a spread.",
        next="measure some units, or drag the limits where they should be.",
        action="save",
        action_text=f"Save as revision {number}",
        enabled=is_draft,
    )


def words_no_mask(procedure: str, *, is_draft: bool, number: int, has_units: bool) -> BayWords:
    """Say that nothing is judged."""
    return BayWords(
        mark=Mark.UNDECIDED if is_draft else Mark.INFO,
        happened=f"{procedure[:1].upper()}{procedure[1:]} has no mask: nothing is judged.",
        next=_make_one(is_draft=is_draft, number=number)
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


def words_of_revision(name: str, *, trial: Trial, found: Comparison, number: int) -> BayWords:
    """Say what the limits in force do."""
    passed = int(found.now.conforms.sum())
    return BayWords(
        mark=Mark.GOOD,
        happened=f"{name.capitalize()} is in force: {passed} of {_units(trial.size)} conform.",
        next="drag a break point, or press P to have limits proposed from these units.",
        action="save",
        action_text=f"Save as revision {number}",
        enabled=False,
    )


def words_of_draft(
    now_name: str, *, trial: Trial, found: Comparison, number: int, on_bench: str
) -> BayWords:
    """Say what the draft, or an older revision on the bench, does against the limits in force."""
    is_draft = not on_bench
    subject = "the draft" if is_draft else on_bench
    doubtful = [
        trial.names[flip.unit]
        for flip in found.flips
        if trial.units[flip.unit].mark == "good" and flip.after is Verdict.DOES_NOT_CONFORM
    ][:_MOST_NAMED]
    keep = f"save the draft as revision {number}"
    if not is_draft:
        keep = "edit it, or put the one in force back from the list of revisions"
    again = f"inspect {' and '.join(doubtful)} again, or " if doubtful else ""
    return BayWords(
        mark=Mark.UNDECIDED if is_draft else Mark.INFO,
        happened=f"Against {now_name}, {subject} {_effect(trial, found)}.",
        next=f"{again}{keep}.",
        action="save",
        action_text=f"Save as revision {number}",
        enabled=is_draft,
    )


def words_done(happened: str, *, next_step: str, standing: BayWords) -> BayWords:
    """Say what was done; the button stays what it was."""
    return replace(standing, mark=Mark.GOOD, happened=happened, next=next_step, progress=None)


def words_tool(asks: str, *, enter: str, standing: BayWords) -> BayWords:
    """Say what a tool at the left asks, and what Enter in it does."""
    return replace(
        standing, mark=Mark.INFO, happened=asks, next=f"Enter {enter}, Esc leaves all as it is."
    )


def words_refused(sentence: str, *, number: int) -> BayWords:
    """Say why nothing was saved."""
    return BayWords(
        mark=Mark.BAD,
        happened=f"Not saved: {sentence.rstrip('.')}.",
        next="the draft is still here; put that right and save again.",
        action="save",
        action_text=f"Save as revision {number}",
    )


def words_ask_reason(number: int) -> BayWords:
    """Say what a revision needs."""
    return BayWords(
        mark=Mark.INFO,
        happened=f"Revision {number} needs a name and a reason.",
        next="type both at the left; Enter in the reason saves.",
        action="save",
        action_text=f"Save as revision {number}",
    )


def _make_one(*, is_draft: bool, number: int) -> str:
    make = "press N to make one from the stored units"
    return f"{make}, or Ctrl S to save revision {number} without any." if is_draft else f"{make}."


def _effect(trial: Trial, found: Comparison) -> str:
    stopped = {"bad": 0, "good": 0, None: 0}
    passed = {"bad": 0, "good": 0, None: 0}
    others = 0
    for flip in found.flips:
        mark = trial.units[flip.unit].mark
        if flip.after is Verdict.DOES_NOT_CONFORM:
            stopped[mark] += 1
        elif flip.after is Verdict.CONFORMS:
            passed[mark] += 1
        else:
            others += 1
    told = [_told("stops", stopped), _told("passes", passed)]
    if others:
        told.append(f"leaves {_units(others)} undecided")
    told = [one for one in told if one]
    return " and ".join(told) if told else f"changes none of {_units(trial.size)}"


def _told(verb: str, counts: dict[str | None, int]) -> str:
    """Count by what inspection found: ``stops 2 more bad units and 2 good ones``."""
    kinds = {"bad": "bad", "good": "good", None: "uninspected"}
    parts = [(count, kinds[mark]) for mark, count in counts.items() if count]
    if not parts:
        return ""
    first, *rest = parts
    told = f"{first[0]} more {first[1]} unit{'s' if first[0] != 1 else ''}"
    told += "".join(f", {count} {kind}" for count, kind in rest)
    return f"{verb} {told}"


def _units(count: int) -> str:
    return f"{count} unit{'s' if count != 1 else ''}"
