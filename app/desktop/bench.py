"""What all bays share: chain, procedure, specimen, store, and the take that is being made."""

from dataclasses import dataclass, replace
from datetime import UTC, datetime
from pathlib import Path
from typing import TYPE_CHECKING

from PySide6.QtCore import QObject, Signal, Slot
from PySide6.QtGui import QUndoStack

from app.desktop.engine.messages import Mishap
from app.desktop.run_state import Failure, RunState
from app.desktop.runs import Runs
from app.desktop.undo import Edit
from app.desktop.worker import Worker
from app.measure.events import Entered, Event, Finished, Played, Probed, State, Tried, Warned
from app.measure.listen import Ear, sounds_alike
from app.measure.make_take import Job
from app.procedure.loaded import LoadedProcedure
from app.procedure.schema import Procedure
from app.records.store import Store
from hardware.chain.snapshot import ChainSnapshot

if TYPE_CHECKING:
    from app.calibrate.coupling import ListenFor
    from app.measure.probe_run import Probing
    from app.measure.sound_run import Sound


@dataclass(frozen=True, slots=True, eq=False, kw_only=True)
class Wired:
    """A chain and the file that it came from; None for one that was never saved."""

    snapshot: ChainSnapshot
    file: Path | None


class Bench(QObject):
    """The truth that the window shows; every bay reads it, asks it, and hears what changed.

    Edits go through ``edit_chain`` and ``edit_procedure``, so that each can be undone. Takes are
    made one at a time; a take is in the store before ``take_kept`` says so.

    Parameters
    ----------
    store : Store
        Where takes are kept; the bench closes it.
    chain, procedure : Wired, LoadedProcedure
        To begin with.
    """

    chain_changed = Signal(object)  # Wired
    procedure_changed = Signal(object)  # LoadedProcedure
    specimen_changed = Signal()
    run_changed = Signal(object)  # RunState
    run_warned = Signal(str)
    take_kept = Signal(object)  # app.measure.events.Finished
    run_failed = Signal(object)  # Failure
    run_stopped = Signal()
    levels_tried = Signal(object)  # hardware.soundcard.preflight.Forecast
    probed = Signal(object)  # app.measure.events.Probed: what a probe of a link recorded
    idle_levels = Signal(object)  # tuple of float: dBFS of each input while nothing plays
    idle_failed = Signal(object)  # Failure: the card cannot be listened to
    coupling_followed = Signal(object)  # app.calibrate.follow.Followed; None: followed no more
    coupled = Signal(object)  # hardware.card.Capture of a calibrator that has settled, or will not
    coupling_failed = Signal(object)  # Failure
    card_free = Signal()  # the card is closed: others may look for it
    store_changed = Signal()  # takes, marks or references came to it

    def __init__(
        self,
        *,
        store: Store,
        chain: Wired,
        procedure: LoadedProcedure,
        parent: QObject | None = None,
    ) -> None:
        super().__init__(parent)
        self.store, self.undo_stack = store, QUndoStack(self)
        self.worker = Worker(self)  # for looking things up: find, derive again, export
        self._chain, self._procedure = chain, procedure
        self._on_file: dict[Path, ChainSnapshot] = {}
        self._as_opened = chain.snapshot
        self._note_file(chain)
        self._kept = [procedure.procedure]  # what can be had again, the newest last
        self._unit: str | None = None
        self._lot: str | None = None
        self._run = RunState()
        self._runs = Runs(self)
        self._runs.told.connect(self._hear)
        self._runs.failed.connect(self._fail)
        self._runs.heard.connect(self._overhear)
        self._runs.deaf.connect(self._lose_hearing)
        self._runs.free.connect(self.card_free)
        self._runs.followed.connect(self.coupling_followed)
        self._runs.coupled.connect(self._couple)
        self._runs.unheard.connect(self._fail_coupling)
        self._idle_inputs: int | None = None
        self._lost_at: str | None = None  # since when the card does not answer

    @property
    def chain(self) -> ChainSnapshot:
        """The chain as it is now."""
        return self._chain.snapshot

    @property
    def wired(self) -> Wired:
        """The chain with the file that it came from."""
        return self._chain

    @property
    def chain_on_file(self) -> ChainSnapshot | None:
        """The chain as its file has it; None for one that was never saved."""
        return self._on_file.get(self._chain.file) if self._chain.file else None

    @property
    def chain_to_return_to(self) -> ChainSnapshot:
        """The chain as its file has it, or as the window opened where it was never saved."""
        return self.chain_on_file or self._as_opened

    @property
    def kept_procedure(self) -> Procedure | None:
        """Where the limits now are drafts: the procedure before them that can be had again."""
        masks = self._procedure.procedure.masks
        is_kept = any(one.masks == masks for one in self._kept)
        return None if is_kept else self._kept[-1]

    @property
    def procedure(self) -> LoadedProcedure:
        """The procedure as it is now."""
        return self._procedure

    @property
    def unit(self) -> str | None:
        """Serial of the unit on the bench."""
        return self._unit

    @property
    def lot(self) -> str | None:
        """Its production lot."""
        return self._lot

    @property
    def run(self) -> RunState:
        """Where the run in progress, or the last one, is."""
        return self._run

    def set_specimen(self, *, unit: str | None, lot: str | None) -> None:
        """Say what lies on the bench."""
        if (unit, lot) != (self._unit, self._lot):
            self._unit, self._lot = unit, lot
            self.specimen_changed.emit()

    def edit_chain(self, chain: Wired, *, text: str, gesture: str = "") -> None:
        """Put another chain on the bench; can be undone.

        With another file than before it is one that was opened, as that file has it.
        """
        if chain.file != self._chain.file:
            self._note_file(chain)
        command = Edit(text, before=self._chain, after=chain, put=self._put_chain, gesture=gesture)
        self.undo_stack.push(command)

    def chain_saved(self, chain: Wired) -> None:
        """Hear that the chain was written into its file, perhaps a new one; nothing to undo."""
        self._note_file(chain)
        self._put_chain(chain)

    def _note_file(self, chain: Wired) -> None:
        if chain.file is not None:
            self._on_file[chain.file] = chain.snapshot

    def edit_procedure(self, procedure: LoadedProcedure, *, text: str, gesture: str = "") -> None:
        """Put another procedure on the bench; can be undone."""
        before = self._procedure
        if procedure.file != before.file:
            self._kept.append(procedure.procedure)  # opened, as that file has it
        command = Edit(
            text, before=before, after=procedure, put=self._put_procedure, gesture=gesture
        )
        self.undo_stack.push(command)

    def procedure_kept(self, procedure: Procedure) -> None:
        """Hear that the store has a procedure, as a revision or with a take."""
        if procedure not in self._kept:
            self._kept.append(procedure)

    def play(self, procedure: LoadedProcedure | None = None) -> None:
        """Begin a take of the unit on the bench; nothing happens while one is being made.

        Parameters
        ----------
        procedure : LoadedProcedure or None
            Instead of the one on the bench, which stays.
        """
        if self._run.is_active:
            return
        self._set_run(
            RunState(
                phase=State.PLAYING,
                number=self.store.next_number(),
                unit=self._unit,
                lot=self._lot,
            )
        )
        self._runs.make(self._job(procedure))

    def try_levels(self) -> None:
        """Play the procedure 20 dB down and foretell every input; nothing is kept."""
        if self._run.is_active:
            return
        self._set_run(RunState(phase=State.CHECKING, unit=self._unit, lot=self._lot))
        self._runs.make(self._job(), is_trial=True)

    def probe(self, wanted: "Probing") -> None:
        """Play a probe of a link, and tell ``probed`` what was recorded; nothing is kept.

        It is a run like a take: ``run_changed`` tells how far it is, ``stop`` ends it.
        """
        if self._run.is_active:
            return
        self._set_run(RunState(phase=State.PROBING))
        self._runs.probe(wanted)

    def sound(self, wanted: "Sound") -> None:
        """Play a sound to a person; nothing is kept.

        It is a run like a take: ``run_changed`` tells how far it is, ``stop`` ends it.
        """
        if self._run.is_active:
            return
        self._set_run(RunState(phase=State.SOUNDING))
        self._runs.sound(wanted)

    def _job(self, procedure: LoadedProcedure | None = None) -> Job:
        return Job(
            procedure=procedure or self._procedure,
            chain=self.chain,
            unit=self._unit,
            lot=self._lot,
            store=self.store,
        )

    def stop(self) -> None:
        """Ramp the output to silence within one block; nothing of this take is kept."""
        self._runs.stop()

    def look_again(self) -> None:
        """Let the card go, so that it is looked for afresh."""
        self.free_card()
        self.listen_again()

    def free_card(self) -> None:
        """Close the card and listen no more, until ``listen_again``; ``card_free`` tells when."""
        self._runs.release_card()

    def listen_again(self) -> None:
        """Go on listening where that is wanted."""
        inputs = self._idle_inputs
        self._runs.listen(None if inputs is None else Ear(chain=self.chain, inputs=inputs))

    def listen(self, *, inputs: int | None) -> None:
        """Tell ``idle_levels`` about four times a second while nothing plays.

        Parameters
        ----------
        inputs : int or None
            How many inputs from the first; those that the chain wires always. None: no more.
        """
        if inputs != self._idle_inputs:
            self._idle_inputs = inputs
            self.listen_again()

    def hear(self, wanted: "ListenFor") -> None:
        """Follow a calibrator on the microphone; nothing happens while a take is being made.

        ``coupling_followed`` tells about ten times a second, then ``coupled`` or
        ``coupling_failed``.
        """
        if not self._run.is_active:
            self._runs.hear(wanted)

    def stop_hearing(self) -> None:
        """Follow it no more."""
        self._runs.stop_hearing()
        self.coupling_followed.emit(None)

    def close(self) -> None:
        """Silence first; then process, thread and store."""
        self._runs.close()
        self.worker.close()
        self.store.close()

    def _put_chain(self, chain: Wired) -> None:
        before, self._chain = self._chain.snapshot, chain
        if not sounds_alike(before, chain.snapshot):
            self._lost_at = None
            self.listen_again()
        self.chain_changed.emit(chain)

    def _put_procedure(self, procedure: LoadedProcedure) -> None:
        self._procedure = procedure
        self.procedure_changed.emit(procedure)

    def _set_run(self, run: RunState) -> None:
        self._run = run
        self.run_changed.emit(run)

    @Slot(object)
    def _hear(self, event: Event) -> None:
        match event:
            case Entered(state=state):
                begins_again = state is State.PLAYING and self._run.phase is State.JUDGING
                again = self._run.again + begins_again
                self._set_run(replace(self._run, phase=state, again=again, live=()))
                if state is State.STOPPED:
                    self.run_stopped.emit()
            case Played():
                self._lost_at = None
                self._set_run(
                    replace(
                        self._run,
                        played_s=event.played_s,
                        whole_s=event.whole_s,
                        input_peak_dbfs=event.input_peak_dbfs,
                        live=event.live,
                    )
                )
            case Warned(sentence=sentence):
                self.run_warned.emit(sentence)
            case Finished(take=take):
                self.procedure_kept(take.procedure)
                self.take_kept.emit(event)
                self.store_changed.emit()
            case Tried(forecast=forecast):
                self.levels_tried.emit(forecast)
            case Probed():
                self.probed.emit(event)

    @Slot(object)
    def _fail(self, mishap: Mishap) -> None:
        self._set_run(replace(self._run, phase=State.FAILED))
        self.run_failed.emit(self._failure(mishap, played_s=self._run.played_s))

    @Slot(object)
    def _overhear(self, dbfs: tuple[float, ...]) -> None:
        self._lost_at = None
        if not self._run.is_active:  # one that was under way when a take began
            self.idle_levels.emit(dbfs)

    @Slot(object)
    def _lose_hearing(self, mishap: Mishap) -> None:
        self.idle_failed.emit(self._failure(mishap, played_s=0.0))

    @Slot(object)
    def _couple(self, capture: object) -> None:
        self.coupling_followed.emit(None)
        self.coupled.emit(capture)

    @Slot(object)
    def _fail_coupling(self, mishap: Mishap) -> None:
        self.coupling_followed.emit(None)
        self.coupling_failed.emit(self._failure(mishap, played_s=0.0))

    def _failure(self, mishap: Mishap, *, played_s: float) -> Failure:
        at = f"{datetime.now(UTC):%H:%M:%S}"
        if mishap.card_lost:
            # A loss has one time, however many notice it one after another.
            at = self._lost_at = self._lost_at or at
        return Failure(
            sentence=mishap.sentence, card_lost=mishap.card_lost, at=at, played_s=played_s
        )
