"""One run of a procedure on a chain: a state machine that yields events and ends in a take."""

import math
import queue
import threading
from collections.abc import Generator, Iterator
from concurrent.futures import ThreadPoolExecutor
from dataclasses import dataclass, replace

from app.errors import AppError, MeasurementFailedError
from app.measure.derive import derive, prepare
from app.measure.drive_level import turned_down
from app.measure.events import TRANSITIONS, Entered, Event, Finished, Played, State, Warned
from app.measure.excite import excite, play_request
from app.measure.level_check import check_levels, trial_request
from app.measure.live import LiveReader, LiveReading
from app.measure.make_take import Job, make_take
from app.measure.proven import marked
from dsp import DspError
from dsp.excitation.excitation import Excitation
from hardware.card import Capture, Card, PlayRequest, Progress
from hardware.errors import HardwareError

FLOOR_DBFS = -200.0  # stands for silence where a logarithm has no value


class Run:
    """One take from excitation to record; made for it and thrown away after it.

    Iterate over ``events()`` in any one thread; call ``stop()`` from any other.

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
        self._job, self._excitation, self._card = job, excitation, card
        self._stop = threading.Event()
        self._state = State.READY

    @property
    def state(self) -> State:
        """Where the run is."""
        return self._state

    def stop(self) -> None:
        """Ramp the output to silence within one block of the card, and keep nothing."""
        self._stop.set()

    def events(self) -> Iterator[Event]:
        """Run the job, telling what happens as it happens.

        Yields
        ------
        Event; a ``Finished`` last, or ``Entered(STOPPED)`` where the person stopped it.

        Raises
        ------
        AppError, HardwareError, DspError
            The run failed; the output is silent and nothing was kept.
        """
        try:
            yield from self._go()
        except (AppError, HardwareError, DspError):
            self._state = State.FAILED
            raise
        finally:
            self._stop.set()  # whoever stops listening stops the sound, too

    def _go(self) -> Iterator[Event]:
        checked = yield from self._checked() if self._job.check_levels else self._unchecked()
        if checked is None:
            yield self._enter(State.STOPPED)
            return
        job, excitation = checked.job, checked.excitation
        prepared = prepare(job.procedure, excitation=excitation)
        yield self._enter(State.PLAYING)
        reader = LiveReader(excitation, chain=job.chain, procedure=job.procedure.procedure)
        capture = yield from self._play(play_request(excitation, job.chain), reader=reader)
        if self._stop.is_set():
            yield self._enter(State.STOPPED)
            return
        yield self._enter(State.DERIVING)
        derived = derive(
            capture,
            procedure=job.procedure,
            chain=job.chain,
            excitation=excitation,
            prepared=prepared,
        )
        derived = replace(derived, warnings=(*checked.warnings, *derived.warnings))
        derived = marked(derived, store=job.store, chain=job.chain.chain, at=capture.started_utc)
        for sentence in derived.warnings:
            yield Warned(sentence=sentence)
        yield self._enter(State.JUDGING)
        take = make_take(job, capture=capture, derived=derived)
        yield self._enter(State.KEEPING)
        if job.store:
            job.store.keep(take, capture=capture, audio=job.procedure.audio)
        yield self._enter(State.DONE)
        yield Finished(take=take, derived=derived, kept=job.store is not None)

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

    def _enter(self, state: State) -> Entered:
        if state not in TRANSITIONS[self._state]:
            raise MeasurementFailedError(f"run: no way from {self._state.value} to {state.value}")
        self._state = state
        return Entered(state=state)

    def _play(
        self, request: PlayRequest, *, reader: LiveReader | None = None
    ) -> Generator[Event, None, Capture]:
        """Play in a thread of its own, so that progress can be yielded while it plays."""
        reports: queue.SimpleQueue[Progress | None] = queue.SimpleQueue()

        def play() -> Capture:
            try:
                return self._card.play(
                    request, on_progress=reports.put, should_stop=self._stop.is_set
                )
            finally:
                reports.put(None)

        with ThreadPoolExecutor(max_workers=1, thread_name_prefix="play") as pool:
            result = pool.submit(play)
            try:
                while (progress := reports.get()) is not None:
                    live = reader.hear(progress.fresh) if reader else ()
                    yield _played(progress, sample_rate_hz=request.sample_rate_hz, live=live)
            except BaseException:
                self._stop.set()  # the listener left: the pool waits for silence
                raise
            return result.result()


@dataclass(frozen=True, slots=True, eq=False, kw_only=True)
class _Checked:
    """What is to be played after all, and what to warn of."""

    job: Job
    excitation: Excitation
    warnings: tuple[str, ...] = ()


def _played(progress: Progress, *, sample_rate_hz: float, live: tuple[LiveReading, ...]) -> Played:
    return Played(
        played_s=progress.frames_played / sample_rate_hz,
        whole_s=progress.frames / sample_rate_hz,
        input_peak_dbfs=tuple(
            20 * math.log10(peak) if peak > 0 else FLOOR_DBFS for peak in progress.input_peak
        ),
        live=live,
    )
