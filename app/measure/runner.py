"""One run of a procedure on a chain: a state machine that yields events and ends in a take."""

from collections.abc import Generator, Iterator
from dataclasses import dataclass, replace

from app.measure.again import second_of
from app.measure.derive import derive, prepare
from app.measure.derived import Derived
from app.measure.drive_level import turned_down
from app.measure.events import Event, Finished, State, Warned
from app.measure.excite import excite, play_request
from app.measure.level_check import check_levels, trial_request
from app.measure.live import LiveReader
from app.measure.make_take import Job, compare, make_take
from app.measure.playing import Playing
from app.measure.proven import marked
from app.measure.retake import spoilt, told
from app.measure.unapproved import unapproved
from app.records.take import Take
from dsp.excitation.excitation import Excitation
from hardware.card import Capture, Card


class Run(Playing):
    """One take from excitation to record; ends in a ``Finished``.

    Parameters
    ----------
    job : Job
        What to measure, on what, and where to keep it.
    excitation : Excitation
        From ``excite``: a procedure that the chain must not play never comes as far as a run.
    card : Card
        What plays and records.
    """

    def __init__(self, job: Job, *, excitation: Excitation, card: Card) -> None:
        super().__init__(card)
        self._job, self._excitation = job, excitation

    def _go(self) -> Iterator[Event]:
        checked = yield from self._checked() if self._job.check_levels else self._unchecked()
        if checked is None:
            yield self._enter(State.STOPPED)
            return
        made = yield from self._made(checked)
        if made is None:
            yield self._enter(State.STOPPED)
            return
        job = checked.job
        for sentence in made.derived.warnings:
            yield Warned(sentence=sentence)
        yield self._enter(State.KEEPING)
        if job.store:
            job.store.keep(made.take, capture=made.capture, audio=job.procedure.audio)
        yield self._enter(State.DONE)
        yield Finished(take=made.take, derived=made.derived, kept=job.store is not None)

    def _made(self, checked: "_Checked") -> Generator[Event, None, "_Made | None"]:
        """Make the take, again where it was disturbed, a bounded number of times."""
        job, excitation = checked.job, checked.excitation
        prepared = prepare(job.procedure, excitation=excitation)
        compared = compare(job)
        second = second_of(job.procedure.procedure, store=job.store, unit=job.unit)
        doubtful = unapproved(job.store, job.procedure.procedure)
        warned = (*checked.warnings, *([doubtful] if doubtful else []))
        most = job.procedure.procedure.quantities.defects.retakes
        for count in range(most + 1):
            yield self._enter(State.PLAYING)
            reader = LiveReader(excitation, chain=job.chain, procedure=job.procedure.procedure)
            capture = yield from self._play(play_request(excitation, job.chain), reader=reader)
            if self._stop.is_set():
                return None
            yield self._enter(State.DERIVING)
            derived = derive(
                capture,
                procedure=job.procedure,
                chain=job.chain,
                excitation=excitation,
                prepared=prepared,
                second=second,
            )
            derived = replace(derived, warnings=(*warned, *derived.warnings))
            at = capture.started_utc
            derived = marked(derived, store=job.store, chain=job.chain.chain, at=at)
            yield self._enter(State.JUDGING)
            take = make_take(job, capture=capture, derived=derived, compared=compared)
            again = spoilt(take, derived=derived)
            if not again or count == most:
                break
        if count:
            said = told(count, still=again)
            derived = replace(derived, warnings=(said, *derived.warnings))
            take = replace(take, warnings=(said, *take.warnings))
        return _Made(take=take, derived=derived, capture=capture)

    def _unchecked(self) -> Generator[Event, None, "_Checked"]:
        yield from ()
        return _Checked(job=self._job, excitation=self._excitation)

    def _checked(self) -> Generator[Event, None, "_Checked | None"]:
        """Play the trial; None where it was stopped."""
        job, excitation = self._job, self._excitation
        yield self._enter(State.CHECKING)
        trial = yield from self._play(trial_request(play_request(excitation, job.chain)))
        if self._stop.is_set():
            return None
        found = check_levels(trial, excitation=excitation, chain=job.chain.chain)
        if found.drive_scale < 1:
            quieter = turned_down(job.procedure, scale=found.drive_scale, chain=job.chain.chain)
            job = replace(job, procedure=quieter)
            excitation = excite(quieter, job.chain)
        return _Checked(job=job, excitation=excitation, warnings=found.warnings)


@dataclass(frozen=True, slots=True, eq=False, kw_only=True)
class _Checked:
    """What is to be played after all, and what to warn of."""

    job: Job
    excitation: Excitation
    warnings: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True, eq=False, kw_only=True)
class _Made:
    """The take that stands, and what it was derived from."""

    take: Take
    derived: Derived
    capture: Capture
