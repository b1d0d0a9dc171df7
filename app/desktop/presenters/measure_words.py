"""What the row under the chain strip says while the Measure bay is open."""

from dataclasses import dataclass

from app.desktop.presenters.bay_words import BayWords
from app.desktop.presenters.mark import Mark, mark_of
from app.desktop.presenters.measure_stale import StaleLink, refused_in
from app.desktop.run_state import Failure, RunState
from app.measure.events import State
from app.measure.keep_merged import is_merged
from app.records.take import Take
from dsp.conformity.verdict import Verdict

_KINDS = {
    "log_sweep": "sweep",
    "stepped_sine": "stepped sine",
    "tones": "tones",
    "noise": "noise",
    "multitone": "multitone",
    "two_tones": "two tones",
    "file": "file",
    "series": "series",
}
_STEPS = {
    State.DERIVING: "Deriving every quantity of take {number}.",
    State.JUDGING: "Judging take {number}.",
    State.KEEPING: "Keeping take {number}.",
}


@dataclass(frozen=True, slots=True, eq=False, kw_only=True)
class Told:
    """The take that the bay has something to say about.

    Attributes
    ----------
    take : Take
        The one that is shown.
    number : int
        Its running number.
    is_new : bool
        Whether it has just been made.
    """

    take: Take
    number: int
    is_new: bool = False


def words_while_active(run: RunState, *, kind: str) -> BayWords:
    """Say what plays, and how far it has come."""
    return BayWords(
        mark=Mark.BUSY,
        happened=_active(run, kind=kind),
        next="wait; the verdict follows at once. Esc stops the output within one block."
        if run.is_sounding
        else "the output is silent: the unit may be taken off.",
        action="play",
        action_text="Playing" if run.is_sounding else "Deriving",
        enabled=False,
        progress=_progress(run),
    )


def words_after_failure(failure: Failure, *, safe: int) -> BayWords:
    """Say what stopped, what is safe, and what to do."""
    if failure.card_lost:
        return BayWords(
            mark=Mark.BAD,
            happened=f"The card stopped answering. The output is silent; {_safe(safe)}.",
            next="check the card’s cable, then look again. The take must be repeated.",
            action="look_again",
        )
    return BayWords(
        mark=Mark.BAD,
        happened=f"No take was made: {failure.sentence.rstrip('.')}.",
        next="put that right, then press Play. The output is silent; nothing was changed.",
        action="play",
    )


def words_after_stop(run: RunState) -> BayWords:
    """Say that the person stopped it."""
    return BayWords(
        mark=Mark.INFO,
        happened=f"Stopped at {run.played_s:.2f} s. The output is silent; nothing was kept.",
        next="press Play to begin again.",
        action="play",
    )


def words_when_empty(*, unit: str | None, takes: int, stale: tuple[StaleLink, ...]) -> BayWords:
    """Say what the bay waits for before it shows any take."""
    chain = f"The {stale[0].called} is stale." if stale else "The chain is ready."
    none = "No take of this unit yet." if takes else "No take yet."
    return BayWords(
        mark=Mark.STALE if stale else Mark.INFO,
        happened=f"{chain} {none}",
        next="prove it, or press Play: what stands on it is then marked and decides nothing."
        if stale
        else "check level and distance at the left, then press Play."
        if unit
        else "name the unit, check level and distance at the left, then press Play.",
        action="play",
    )


def words_of_take(told: Told, *, stale: tuple[StaleLink, ...]) -> BayWords:
    """Say how the take that is shown came out."""
    take = told.take
    unit = take.unit or "the unit"
    if is_merged(take):
        return words_said(
            f"Take {told.number} is shown: {unit}, near and far field merged.",
            next_step="press F to see both fields and where they cross over.",
            mark=Mark.NONE,
        )
    if stale and take.verdict is Verdict.NOT_DECIDED:
        return BayWords(
            mark=Mark.STALE,
            happened=f"{_begin(told)}, but not decided: the {stale[0].called} was stale.",
            next=f"prove the {stale[0].called}, then derive this take again.",
            action="to_link",
            action_text=f"To the {stale[0].called}",
        )
    refused = refused_in(take.warnings)
    if refused and take.verdict is Verdict.NOT_DECIDED:
        first = refused[0]
        return BayWords(
            mark=Mark.BAD,
            happened=f"{_begin(told)}, but not decided: the {first.what} of the {first.called} "
            "was refused.",
            next=f"calibrate the {first.called}, then derive this take again.",
            action="to_link",
            action_text=f"To the {first.called}",
        )
    return BayWords(
        mark=mark_of(take.verdict),
        happened=f"{_begin(told)}: {unit} {_verb(take.verdict)}.",
        next=_next(take),
        action="play",
    )


def words_while_deriving(number: int) -> BayWords:
    """Say that a stored take is derived again."""
    return BayWords(
        mark=Mark.BUSY,
        happened=f"Deriving take {number} again.",
        next="wait; nothing of the stored take is changed.",
        action="play",
        enabled=False,
        progress=0.0,
    )


def words_of_gate(number: int, *, gate_ms: float | None) -> BayWords:
    """Say that the shown take is seen through a gate that is not its own."""
    through = "an open gate" if gate_ms is None else f"a gate of {gate_ms:g} ms"
    return BayWords(
        mark=Mark.INFO,
        happened=f"Take {number} is seen through {through}. The stored take is as it was.",
        next="press D to keep this as a take of its own, or play with it.",
        action="derive_again",
    )


def words_said(happened: str, *, next_step: str, mark: Mark = Mark.INFO) -> BayWords:
    """Say what a person's own command did."""
    return BayWords(mark=mark, happened=happened, next=next_step, action="play")


def _active(run: RunState, *, kind: str) -> str:
    far = f"{run.played_s:.2f} s of {run.whole_s:.2f} s"
    if run.phase is State.CHECKING:
        return f"Checking levels quietly: {far}."
    if run.phase is State.PLAYING:
        name = _KINDS.get(kind, kind)
        return (
            f"Playing the {name}: {far}."
            if run.whole_s
            else f"Rendering the {name} and opening the card."
        )
    return _STEPS.get(run.phase, "Take {number}.").format(number=run.number)


def _progress(run: RunState) -> float:
    if not run.is_sounding:
        return 1.0
    return min(1.0, run.played_s / run.whole_s) if run.whole_s else 0.0


def _safe(count: int) -> str:
    if not count:
        return "nothing was kept"
    return "take 1 is safe" if count == 1 else f"takes 1 to {count} are safe"


def _begin(told: Told) -> str:
    return f"Take {told.number} is {'kept' if told.is_new else 'shown'}"


def _verb(verdict: Verdict) -> str:
    return {
        Verdict.CONFORMS: "conforms",
        Verdict.DOES_NOT_CONFORM: "does not conform",
        Verdict.NOT_DECIDED: "is not decided",
        Verdict.NOT_JUDGED: "is not judged, as the procedure has no mask",
    }[verdict]


def _next(take: Take) -> str:
    match take.verdict:
        case Verdict.CONFORMS:
            where = "on the baffle" if take.procedure.geometry.mounting == "baffle" else "in place"
            return f"put the next unit {where}, then press Play."
        case Verdict.DOES_NOT_CONFORM:
            return "press a mask at the right to see where, or measure again."
        case Verdict.NOT_DECIDED:
            return "read the reason at the right, put it right, and measure again."
        case Verdict.NOT_JUDGED:
            return "read the numbers at the right, or draw masks in Limits (Ctrl 3)."
