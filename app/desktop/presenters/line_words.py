"""What the row under the strip says while the Line bay is open: which limits are in force."""

from app.desktop.presenters.bay_words import BayWords
from app.desktop.presenters.line_panel import PanelState
from app.desktop.presenters.mark import Mark
from app.desktop.presenters.measure_stale import StaleLink
from app.desktop.run_state import RunState
from app.measure.in_force import InForce
from app.procedure.schema import Procedure
from app.records.limit_revisions import LimitRevision

_ENTER = "Enter"  # the serial field's own key, not a shortcut


def line_words(
    panel: PanelState,
    *,
    procedure: Procedure,
    limits: InForce | None,
    run: RunState,
    typed: str,
    card_lost: bool,
    stale: StaleLink | None,
) -> BayWords:
    """Say which limits are in force, and what Enter does now.

    Parameters
    ----------
    panel : PanelState
        What the panel shows.
    procedure, limits : Procedure, InForce or None
        What the next unit is measured with, and what is approved of its limit set; None as long
        as the store was not asked.
    run : RunState
        While active it shows how far it has come.
    typed : str
        What stands in the serial field.
    card_lost : bool
        Whether looking again is what helps.
    stale : StaleLink or None
        The link that is longest past its term today.
    """
    if run.is_active:
        return BayWords(
            mark=Mark.BUSY,
            happened=f"Take {run.number}: {run.unit or 'the unit'}, {run.phase.value}."
            if run.makes_take
            else f"No take is made: {run.phase.value}.",
            next="wait for the verdict. Esc stops the output within one block."
            if run.is_sounding
            else "wait for the verdict; the output is silent.",
            action="line.measure",
            key=_ENTER,
            enabled=False,
            progress=_progress(run),
        )
    if card_lost:
        return BayWords(
            mark=Mark.BAD,
            happened="The card stopped answering. The output is silent.",
            next="check its cable, then look again. The unit must be measured again.",
            action="look_again",
        )
    if stale is not None:
        days = "day" if stale.past_days == 1 else "days"
        return BayWords(
            mark=Mark.STALE,
            happened=f"The {stale.called} is {stale.past_days} {days} past its term.",
            next="prove it in Chain (Ctrl 1), then scan the unit again.",
            action="line.measure",
            key=_ENTER,
            enabled=False,
        )
    if not procedure.masks and not typed:
        return BayWords(
            mark=Mark.NONE,
            happened=f"Procedure {procedure.name} has no mask: units are measured, none is judged.",
            next="draw masks in Limits, or open a procedure with masks (Ctrl O).",
            action="bay.limits",
            action_text="To Limits",
        )
    approved = limits.approved if limits is not None else None
    behind = approved is not None and not _runs(procedure, approved)
    return BayWords(
        mark=Mark.CAUTION if behind else None,
        happened=limits_words(procedure, limits=limits),
        next=_next(panel, typed=typed),
        action="line.measure",
        key=_ENTER,
        enabled=panel.can_repeat or bool(typed),
    )


def limits_words(procedure: Procedure, *, limits: InForce | None) -> str:
    """Say which procedure and which limits apply, and what is approved where that is others."""
    count = len(procedure.masks)
    masks = "1 mask" if count == 1 else f"{count} masks"
    named, approved = procedure.limits, limits.approved if limits is not None else None
    if named is None:
        runs = f"Procedure {procedure.name}, {masks} of its own"
    else:
        runs = f"Procedure {procedure.name}, limits {named.set}, revision {named.revision}, {masks}"
    if approved is None or approved.approved_utc is None:
        return f"{runs}; nobody has approved them."
    signed = f"approved {approved.approved_utc.astimezone():%Y-%m-%d} by {approved.approved_by}"
    if _runs(procedure, approved):
        return f"{runs}; {signed}."
    return f"{runs}; but revision {approved.number} is what was {signed}: see Limits (Ctrl 3)."


def _runs(procedure: Procedure, approved: LimitRevision) -> bool:
    named = procedure.limits
    return (
        named is not None
        and (named.set, named.revision) == (approved.set_name, approved.number)
        and procedure.masks == dict(approved.masks)
    )


def _next(panel: PanelState, *, typed: str) -> str:
    if typed:
        return "press Enter to measure it."
    if panel.can_repeat:
        return "press Measure; nothing has to be scanned."
    return "scan the next unit. Its take starts when the serial is read."


def _progress(run: RunState) -> float:
    if not run.is_sounding:
        return 1.0
    return min(1.0, run.played_s / run.whole_s) if run.whole_s else 0.0
