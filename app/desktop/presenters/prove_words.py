"""What the proof of a link says: its steps, what is heard meanwhile, and the row above."""

import math
from collections.abc import Sequence
from dataclasses import dataclass, field

from app.calibrate.run import Calibrated, Looked
from app.desktop.presenters.bay_words import BayWords
from app.desktop.presenters.calibration_sheet import Looked as Step
from app.desktop.presenters.figures import Fact, interval_text, minus, value_text
from app.desktop.presenters.kept_words import quantity_called, result_words
from app.desktop.presenters.mark import Mark
from app.desktop.presenters.prove_phase import ProvePhase
from app.desktop.presenters.prove_plan import Plan
from app.desktop.presenters.prove_ways import ProveForm, Way
from app.desktop.run_state import RunState
from app.records.calibration_record import Purpose
from dsp.calibration.calibration import Calibration
from hardware.chain.schema import Chain
from hardware.toml_edit import value_at

_DONE = {ProvePhase.WORKING, ProvePhase.ACCEPTED, ProvePhase.REFUSED}
_SILENT_DBFS = -150.0
_MOST_TOLD = 4  # results; of more the row tells the number


@dataclass(frozen=True, slots=True, eq=False, kw_only=True)
class Situation:
    """All that the words depend on.

    Attributes
    ----------
    way : Way
        How it is done.
    plan : Plan or None
        None where something typed is refused.
    phase : ProvePhase
        Where it is.
    number : int
        Plays that were recorded, of this try.
    volts : tuple of float
        V rms that were typed.
    why : str
        What is in the way, where something is.
    run : RunState
        How far what plays has come.
    """

    way: Way
    plan: Plan | None
    phase: ProvePhase
    number: int
    volts: tuple[float, ...] = ()
    why: str = ""
    run: RunState = field(default_factory=RunState)

    @property
    def whole(self) -> int:
        """How many plays there are to be."""
        return 0 if self.plan is None else max(len(self.plan.plays), self.number)


def steps(now: Situation) -> tuple[Step, ...]:
    """Return what is done one after the other, with how far each has come."""
    said: list[tuple[str, str, bool]] = []
    plays = now.plan.plays if now.plan else ()
    played, read = now.number, len(now.volts)
    if now.plan and now.plan.repeats and now.phase in {ProvePhase.READY, ProvePhase.PLAYING}:
        played = read = 0  # what was read before counts, and is read once more
    for at, play in enumerate(plays):
        is_wired = played > at or (played == at and now.phase is ProvePhase.PLAYING)
        said.append(("wire", play.connect, is_wired))
        said.append(("play", _play_words(now, at), played > at))
        if now.way.reads:
            said.append(("read", f"Type what {now.way.reads}, in V rms, then Enter.", read > at))
    if not plays:
        said.append(("before", now.way.connect, now.phase in _DONE))
    ends = "a dated record; the chain stays" if now.way.is_check else "a dated record and the chain"
    said.append(("keep", f"Read the checks. Keep writes {ends}; nothing before that.", False))
    return _marked(said, now)


def _play_words(now: Situation, at: int) -> str:
    assert now.plan is not None  # it has this play
    play = now.plan.plays[at]
    times = f", {play.times} times" if play.times > 1 else ""
    return (
        f"Press Space: it plays at a peak of {play.peak:.3g} of full scale{times}. Esc or Space "
        "silences it at once."
    )


def live_facts(now: Situation, *, chain: Chain) -> tuple[Fact, ...]:
    """Return what is seen while it plays and while a meter is read."""
    play = None
    if now.plan is not None and now.plan.plays:
        play = now.plan.plays[min(now.number, len(now.plan.plays) - 1)]
    facts = []
    if play is not None and math.isfinite(play.expects_v):
        facts.append(Fact(name="meter, expected", value=f"{play.expects_v:.4g}", unit="V rms"))
    shows = now.phase in {ProvePhase.PLAYING, ProvePhase.READING}
    if play is not None and play.rig_v is not None and shows:
        value = f"{play.rig_v:.4g}"
        facts.append(Fact(name="the rig’s meter shows", value=value, unit="V rms"))
    for number, volts in enumerate(now.volts, start=1):
        facts.append(Fact(name=f"typed, reading {number}", value=f"{volts:.4g}", unit="V rms"))
    if now.phase is ProvePhase.PLAYING:
        peaks = now.run.input_peak_dbfs
        for name, link in chain.input.wired.items():
            if link.channel <= len(peaks):
                facts.append(_level(name, peaks[link.channel - 1]))
    return tuple(facts)


def prove_words(now: Situation) -> BayWords:
    """Say where it is, and what comes next; results have words of their own."""
    match now.phase:
        case ProvePhase.NOT_READY:
            return BayWords(
                mark=Mark.UNDECIDED,
                happened=f"Not ready: {now.why}.",
                next="mend it at the left. Nothing plays.",
                action="play_probe",
                enabled=False,
            )
        case ProvePhase.PLAYING:
            return _playing(now)
        case ProvePhase.READING:
            return BayWords(
                mark=Mark.INFO,
                happened="Played; silent again.",
                next=f"type what {now.way.reads}, then Enter; or Again plays it once more.",
                action="again",
            )
        case ProvePhase.WORKING:
            return BayWords(
                mark=Mark.BUSY,
                happened="Working it out.",
                next="leave everything as it is.",
                action="keep",
                enabled=False,
            )
        case _:
            return _ready(now)


def found_words(looked: Looked, *, plan: Plan, purpose: Purpose, is_same: bool) -> BayWords:
    """Say what it came to, and what follows.

    Parameters
    ----------
    looked : Looked
        Not kept yet, unless it was refused.
    plan : Plan
        How it was done.
    purpose : Purpose
        What for.
    is_same : bool
        Whether it is a second look at the same recordings.
    """
    if not looked.accepted:
        kept = "" if is_same else " Kept as refused."
        return BayWords(
            mark=Mark.BAD,
            happened=f"Refused: {_reason(looked)}. Nothing changed.{kept}",
            next="put it right, then press Again." if plan.plays else "look after it in Measure.",
            action="again",
            enabled=bool(plan.plays),
        )
    what = "keep the check" if purpose is Purpose.CHECK else "keep it"
    more = "; or Again plays once more, for another reading" if plan.repeats else ""
    return BayWords(
        mark=Mark.GOOD,
        happened=f"Found: {_chief(looked.found.results)}.",
        next=f"{what}{more}.",
        action="keep",
    )


def kept_words(done: Calibrated) -> str:
    """Say what was kept."""
    record = done.record
    value = _chief(record.results)
    if record.purpose is Purpose.CHECK:
        return f"Check kept: {value}; the chain stays as it is."
    return f"Kept: {value}."


def against_facts(looked: Looked, *, chain: Chain) -> tuple[Fact, ...]:
    """Return how far the chief value lies from what the chain states, and from the last one."""
    first = looked.found.results[0]
    facts = []
    stated = _stated(first, chain=chain)
    if stated is not None and stated:
        change = 100 * (first.value / stated - 1)
        interval = first.budget.expanded if first.budget.unit == "%" else None
        facts.append(
            Fact(
                name="the chain",
                value=value_text(change, interval or None, signed=True),
                interval=interval_text(interval),
                unit="%",
            )
        )
    kept = looked.history.accepted(first.quantity)
    if kept:
        then = kept[0].results[0].value
        facts.append(
            Fact(
                name="last kept",
                value=value_text(100 * (first.value / then - 1), None, signed=True),
                unit="%",
            )
        )
    return tuple(facts)


def keeps_words(way: Way, *, purpose: Purpose, file: str) -> str:
    """Say what Keep writes."""
    if purpose is Purpose.CHECK or way.is_check:
        return "Keep writes a dated record of the check. The chain stays as it is."
    return f"Keep writes a dated record and {file}. Nothing changes before that."


def _ready(now: Situation) -> BayWords:
    if not now.way.plays:
        return BayWords(
            mark=Mark.INFO,
            happened=f"{now.way.title}. Nothing plays here.",
            next="press Look: its newest take is held against an earlier one.",
            action="play_probe",
            action_text="Look",
        )
    count = f", {now.number + 1} of {now.whole}" if now.whole > 1 else ""
    taken = "" if not now.number else f" {now.number} taken."
    return BayWords(
        mark=Mark.INFO,
        happened=f"{now.way.title}{count}: nothing plays yet.{taken}",
        next="wire as step by step below, read the caution, then press Play.",
        action="play_probe",
    )


def _playing(now: Situation) -> BayWords:
    run = now.run
    far = f"{run.played_s:.1f} s of {run.whole_s:.1f} s" if run.whole_s else "the card is opened"
    reads = f"read what {now.way.reads}. " if now.way.reads else ""
    return BayWords(
        mark=Mark.BUSY,
        happened=f"Playing: {far}.",
        next=f"{reads}Esc or Space silences it at once.",
        action="play_probe",
        action_text="Playing",
        enabled=False,
        progress=min(1.0, run.played_s / run.whole_s) if run.whole_s else 0.0,
    )


def _marked(said: Sequence[tuple[str, str, bool]], now: Situation) -> tuple[Step, ...]:
    """Give each step its mark: done, the one that is next, or to come."""
    marked, is_next = [], now.phase is not ProvePhase.NOT_READY
    for number, (name, sentence, done) in enumerate(said, start=1):
        mark = Mark.GOOD if done else Mark.BUSY if is_next else Mark.NONE
        is_next = is_next and done
        marked.append(Step(mark=mark, name=f"{number} {name}", sentence=sentence))
    return tuple(marked)


def _level(name: str, dbfs: float) -> Fact:
    value = f"{dbfs:.1f}" if dbfs > _SILENT_DBFS else "silent"
    mark = Mark.BAD if dbfs >= 0 else None
    return Fact(name=f"input {name}, peak", value=minus(value), unit="dBFS", mark=mark)


def _chief(results: Sequence[Calibration]) -> str:
    first = results[0]
    if len(results) > _MOST_TOLD:
        return f"{len(results)} figures of the chain"
    return f"{quantity_called(first.quantity)} {result_words(first)}"


def _reason(looked: Looked) -> str:
    reasons = [reason for one in looked.found.results for reason in one.reasons]
    return reasons[0].partition(": ")[0].rstrip(".")


def _stated(result: Calibration, *, chain: Chain) -> float | None:
    try:
        value = value_at(chain, tuple(result.quantity.split(".")))
    except AttributeError:  # a figure that the chain file has no key for
        return None
    return float(value) if isinstance(value, int | float) else None


def stopped_words() -> BayWords:
    """Say that a person stopped it."""
    return BayWords(
        mark=Mark.INFO,
        happened="Stopped: the output is silent, nothing of that play counts.",
        next="press Play to play it again; Esc leaves.",
        action="play_probe",
    )


def far_words(now: Situation) -> str:
    """Say how far what plays has come."""
    if now.phase is not ProvePhase.PLAYING or not now.run.whole_s:
        return "silent"
    return f"{now.run.played_s:.1f} s of {now.run.whole_s:.1f} s"


def folded_papers(form: ProveForm) -> str:
    """Return what stands in the folded fields of a certificate."""
    typed = (form.texts.get(one.key, "") for one in form.way.papers)
    return ", ".join(text for text in typed if text) or "none"
