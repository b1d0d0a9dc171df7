"""The verdict panel: one word that is read from three metres, and what to do with the unit."""

from dataclasses import dataclass, replace
from datetime import datetime
from enum import Enum

from app.desktop.presenters.decisive import Decisive, decisive
from app.desktop.presenters.finding_words import (
    CANNOT_TELL,
    first_reason,
    is_of_chain,
    is_wrong_unit,
    likely,
    next_step,
)
from app.desktop.presenters.mark import Mark, mark_of
from app.desktop.presenters.measure_stale import StaleLink, stale_on
from app.desktop.run_state import Failure, RunState
from app.measure.events import State
from app.measure.retake import is_disturbed_still, times_made
from app.records.take import Finding, Take
from dsp.conformity.verdict import Verdict
from dsp.defects.unheard import NOT_HEARD

_GUARD = "within the guard band"  # what the decision rule calls it
# What another take of the same unit may change; everything else is for the technician.
_MAY_PASS = (_GUARD, "hidden by noise", "no value")
_SCAN_NEXT = "Then scan the next unit."
_TECHNICIAN = "Call the technician."


class Ground(Enum):
    """What the panel is filled with."""

    PAPER = "paper"
    GOOD = "good"
    BAD = "bad"
    UNDECIDED = "undecided"


@dataclass(frozen=True, slots=True, kw_only=True)
class PanelState:
    """What the panel shows.

    Attributes
    ----------
    ground, mark : Ground, Mark
        Filling and glyph: each tells the verdict without the other.
    words : tuple of str
        Lines of the giant word.
    serial, stamp : str
        Top left and top right.
    action, then : str
        What to do, and what after it.
    cause, reason : str
        Why, for a person who comes near.
    can_repeat : bool
        Whether Enter alone measures the same unit again.
    """

    ground: Ground
    mark: Mark
    words: tuple[str, ...]
    serial: str = ""
    stamp: str = ""
    action: str = ""
    then: str = ""
    cause: str = ""
    reason: str = ""
    can_repeat: bool = False

    @property
    def spoken(self) -> str:
        """All of it as one sentence after the other."""
        parts = (self.serial, " ".join(self.words), self.action, self.then, self.cause, self.reason)
        return ". ".join(part.rstrip(".") for part in parts if part)


def waiting_panel() -> PanelState:
    """Present the panel before the first scan."""
    return PanelState(
        ground=Ground.PAPER,
        mark=Mark.NONE,
        words=("Scan the", "next unit"),
        action="Put it in place.",
        then="Its take starts when the serial is read.",
    )


def stale_panel(stale: StaleLink) -> PanelState:
    """Present a chain that is past its term: until it is proved, no unit is measured."""
    return PanelState(
        ground=Ground.UNDECIDED,
        mark=Mark.STALE,
        words=("Chain", "is stale"),
        action=_TECHNICIAN,
        then="Measure no unit.",
        cause=f"The {stale.called} is {_days(stale.past_days)} past its term.",
        reason="Until it is proved, no verdict could stand; scans are refused.",
    )


def measuring_panel(run: RunState) -> PanelState:
    """Present the panel while a unit is being measured."""
    serial = run.unit or "unit"
    after = "Something else was heard, so it plays again." if run.again else ""
    sounding = run.is_sounding or run.phase is State.READY
    return PanelState(
        ground=Ground.PAPER,
        mark=Mark.BUSY,
        words=("Measuring", serial.rpartition("-")[2]),
        serial=serial,
        stamp=f"take {run.number}",
        action="Leave it in place.",
        then="Esc stops." if sounding else "The verdict follows.",
        cause=after,
    )


def take_panel(take: Take, *, number: int, now: datetime, again: bool) -> PanelState:
    """Present a verdict.

    Parameters
    ----------
    take : Take
        Of which unit.
    number : int
        Its running number.
    now : datetime
        Aware, in the zone in which times are shown.
    again : bool
        Whether the take before was of the same unit and not decided, either.
    """
    masks = decisive(take)
    match take.verdict:
        case Verdict.CONFORMS:
            told = _conforming(take, masks)
        case Verdict.DOES_NOT_CONFORM:
            told = _failing(take, masks)
        case Verdict.NOT_DECIDED:
            told = _undecided(take, masks, again=again)
        case Verdict.NOT_JUDGED:
            told = _NOT_JUDGED
    repeated = _repeated(take)
    return PanelState(
        ground=_GROUNDS[take.verdict],
        mark=mark_of(take.verdict),
        words=_WORDS[take.verdict],
        serial=take.unit or "unit without serial",
        stamp=f"take {number}, {_clock(take.started_utc, now=now)}",
        action=told.action,
        then=told.then,
        cause=told.cause,
        reason=" ".join(filter(None, (told.reason, repeated))),
        can_repeat=told.can_repeat,
    )


def failed_panel(failure: Failure, *, unit: str | None, safe: int) -> PanelState:
    """Present a take that broke off: what stopped, what is safe, what to do."""
    kept = f"Nothing of {unit or 'this unit'} was kept; {_safe(safe)}."
    if failure.card_lost:
        return PanelState(
            ground=Ground.PAPER,
            mark=Mark.BAD,
            words=("Sound card", "lost"),
            serial=unit or "",
            stamp=f"{failure.at} UTC",
            action="Check the card’s cable.",
            then="Then press F5.",
            cause="The card stopped answering. The output is silent.",
            reason=kept,
            can_repeat=unit is not None,
        )
    return PanelState(
        ground=Ground.PAPER,
        mark=Mark.BAD,
        words=("No take", "was made"),
        serial=unit or "",
        stamp=f"{failure.at} UTC",
        action=_TECHNICIAN,
        then="Keep the unit aside.",
        cause=f"{failure.sentence.rstrip('.')}.",
        reason=kept,
        can_repeat=unit is not None,
    )


def stopped_panel(run: RunState) -> PanelState:
    """Present a take that a person stopped."""
    return PanelState(
        ground=Ground.PAPER,
        mark=Mark.INFO,
        words=("Stopped",),
        serial=run.unit or "",
        action="Press Enter",
        then="to measure it again, or scan another unit.",
        reason=f"Stopped at {run.played_s:.2f} s. The output is silent; nothing was kept.",
        can_repeat=run.unit is not None,
    )


_GROUNDS = {
    Verdict.CONFORMS: Ground.GOOD,
    Verdict.DOES_NOT_CONFORM: Ground.BAD,
    Verdict.NOT_DECIDED: Ground.UNDECIDED,
    Verdict.NOT_JUDGED: Ground.PAPER,
}
_WORDS = {
    Verdict.CONFORMS: ("Conforms",),
    Verdict.DOES_NOT_CONFORM: ("Does not", "conform"),
    Verdict.NOT_DECIDED: ("Not", "decided"),
    Verdict.NOT_JUDGED: ("Not", "judged"),
}


@dataclass(frozen=True, slots=True, kw_only=True)
class _Told:
    action: str
    then: str
    cause: str = ""
    reason: str = ""
    can_repeat: bool = False


_NOT_JUDGED = _Told(
    action="Keep the unit aside.",
    then=_SCAN_NEXT,
    cause="The procedure has no mask to judge by.",
    reason="The take is kept. Draw masks in Limits (Ctrl 3), or open a procedure with masks "
    "(Ctrl O).",
)


def _conforming(take: Take, masks: tuple[Decisive, ...]) -> _Told:
    least = masks[0]
    margin = f"Least margin {least.distance}, " if least.distance else "Nearest to a limit: "
    first = take.findings[0] if take.findings else None
    unusual = first is not None and first.cause != CANNOT_TELL
    return _Told(
        action="Green rack.",
        then=_SCAN_NEXT,
        cause=f"Unusual, though it conforms. {likely(first)}" if first and unusual else "",
        reason=f"{margin}{least.name}{least.where}.",
    )


def _failing(take: Take, masks: tuple[Decisive, ...]) -> _Told:
    broken = [one for one in masks if one.verdict is Verdict.DOES_NOT_CONFORM]
    held = len(masks) - len(broken)
    others = ", ".join(dict.fromkeys(one.name for one in broken[1:]))
    rest = f"Also broken: {others}." if others else _held(held)
    worst = _broken(broken[0])
    disturbed = is_disturbed_still(take.warnings)
    if not take.findings:
        return _Told(
            action="Red rack.", then=_SCAN_NEXT, cause=worst, reason=rest, can_repeat=disturbed
        )
    first = take.findings[0]
    if is_of_chain(first):
        return _at_station(first, more=f"{worst} {rest}")
    step = next_step(first)
    told = _Told(
        action="Red rack.",
        then=_SCAN_NEXT,
        cause=likely(first),
        reason=f"{step} {worst} {rest}",
        can_repeat=disturbed,
    )
    if first.cause == CANNOT_TELL:
        return replace(told, then=f"Mark it for inspection. {_SCAN_NEXT}", reason=f"{worst} {rest}")
    if is_wrong_unit(first):
        return replace(told, action="Set it aside.", then=step, reason=f"{worst} {rest}")
    return told


def _at_station(first: Finding, *, more: str) -> _Told:
    reason = " ".join(filter(None, (first_reason(first), more)))
    return _Told(
        action="Check the station.",
        then=next_step(first),
        cause=likely(first),
        reason=reason,
        can_repeat=True,
    )


def _repeated(take: Take) -> str:
    times = times_made(take.warnings)
    if not times:
        return ""
    if is_disturbed_still(take.warnings):
        return f"Made again {times}; something else was heard each time."
    return f"Made again {times}, because something else was heard."


def _undecided(take: Take, masks: tuple[Decisive, ...], *, again: bool) -> _Told:
    stale = stale_on(take.chain.chain, on=take.started_utc.date())
    if stale:
        return _Told(
            action=_TECHNICIAN,
            then="Keep the unit aside.",
            cause=f"The {stale[0].called} was stale.",
            reason=f"Its calibration was {_days(stale[0].past_days)} past its term; until it is "
            "proved, nothing is decided.",
        )
    if take.findings and is_of_chain(take.findings[0]):
        return _at_station(take.findings[0], more="")
    if is_disturbed_still(take.warnings):
        return _Told(
            action="Wait for quiet.",
            then="Then press Enter; leave the unit in place.",
            cause="Something else was heard besides the unit.",
            can_repeat=True,
        )
    if deaf := next((one.reason for one in masks if one.reason.startswith(NOT_HEARD)), ""):
        return _Told(
            action="Check the station.",
            then="Check leads and microphone, then measure again.",
            cause="The microphone heard nothing of what was played.",
            reason=f"{_begin(deaf)}.",
            can_repeat=True,
        )
    open_one = next(one for one in masks if one.verdict is Verdict.NOT_DECIDED)
    if open_one.reason.startswith(_GUARD):
        return _guarded(open_one, again=again)
    repeats = open_one.reason.startswith(_MAY_PASS) and not again
    return _Told(
        action="Measure again." if repeats else _TECHNICIAN,
        then="Leave the unit in place." if repeats else "Keep the unit aside.",
        cause=f"{_begin(open_one.name)} could not be decided.",
        reason=f"{_begin(open_one.reason or 'no reason was given')}.",
        can_repeat=True,
    )


def _guarded(one: Decisive, *, again: bool) -> _Told:
    interval = f"; the interval is {one.interval}" if one.interval else ""
    reason = f"{_begin(one.name)}{one.where} is {one.distance} inside its limit{interval}."
    if one.gap_db < 0:
        reason = f"{_begin(one.name)}{one.where} is {one.distance} {one.side} its limit{interval}."
    return _Told(
        action="Set it aside." if again else "Measure again.",
        then=_SCAN_NEXT if again else "Leave the unit in place.",
        cause="Not decided twice: it is too near to a limit."
        if again
        else "The margin is smaller than the guard band.",
        reason=reason,
        can_repeat=True,
    )


def _broken(one: Decisive) -> str:
    if one.quantity == "polarity":
        return "The polarity is reversed."
    name = _begin(one.name)
    limit = "limits" if one.side == "outside" else "limit"
    if not one.distance:
        return f"{name} is {one.side} its {limit}{one.where}."
    how = f"{one.distance} {one.side}"
    return f"{name} is {how} its {limit}{one.where}."


def _days(count: int) -> str:
    return "1 day" if count == 1 else f"{count} days"


def _held(count: int) -> str:
    if not count:
        return ""
    return "The other mask is held." if count == 1 else f"The other {count} masks are held."


def _safe(count: int) -> str:
    if not count:
        return "the store is empty"
    return "take 1 is safe" if count == 1 else f"takes 1 to {count} are safe"


def _begin(text: str) -> str:
    return text[:1].upper() + text[1:]


def _clock(moment: datetime, *, now: datetime) -> str:
    local = moment.astimezone(now.tzinfo)
    return f"{local:%H:%M}" if local.date() == now.date() else f"{local:%Y-%m-%d %H:%M}"
