"""What the window asks of the engine's process and hears from it: takes, levels, calibrators."""

from dataclasses import replace
from typing import TYPE_CHECKING

from PySide6.QtCore import QObject, QTimer, Signal, Slot

from app.desktop import engine_link
from app.desktop.engine.messages import Broken, Mishap, Order, Report, Wanted
from app.desktop.engine_link import Link, Told
from app.errors import AppError
from app.measure.events import Entered, State
from app.measure.listen import Ear
from app.measure.make_take import Job
from app.measure.probe_run import Probing
from app.measure.sound_run import Sound

if TYPE_CHECKING:  # slow to import: where nobody calibrates, nobody waits for it
    from app.calibrate.coupling import ListenFor

_STOP_LIMIT_MS = 3000  # what has not ended by then is ended
_AUDIBLE = {State.CHECKING, State.PROBING, State.SOUNDING, State.PLAYING}


class EngineDefectError(AppError):
    """A defect of ours in the engine's process; its trace is a note."""


class Runs(QObject):
    """Makes takes away from the window's process.

    ``told`` (events of a run) and ``failed`` (Mishap: there is no take) arrive in the thread that
    made this object. Between takes it listens, where that is wanted: ``heard`` (dB of each input),
    ``deaf`` (Mishap; it then listens no more until it is asked to). ``free``: the card has been
    closed. A calibrator is followed (``followed``) until it has settled: ``coupled`` (the capture),
    ``unheard`` (Mishap). The process is started when it is first wanted, and anew where it ended.
    """

    told = Signal(object)
    failed = Signal(object)
    heard = Signal(object)
    deaf = Signal(object)
    free = Signal()
    followed = Signal(object)
    coupled = Signal(object)
    unheard = Signal(object)

    def __init__(self, parent: QObject | None = None) -> None:
        super().__init__(parent)
        self._link: Link | None = None
        self._has_spoken = False  # the process that runs now
        self._ear: Ear | None = None
        # Numbers of the orders that are in force; reports about any other are late.
        self._making: int | None = None
        self._listening: int | None = None
        self._hearing: int | None = None
        self._letting_go: int | None = None
        self._sounds = self._is_over = False  # the run that is being made
        self._stop_limit = QTimer(self, interval=_STOP_LIMIT_MS, singleShot=True)
        self._stop_limit.timeout.connect(self._enforce_stop)

    def make(self, job: Job, *, is_trial: bool = False) -> None:
        """Begin a take, or a quiet trial of one."""
        store = None if job.store is None else job.store.address
        wanted = Wanted(job=replace(job, store=None), store=store)
        self._begin(Order.TRY if is_trial else Order.MAKE, wanted)

    def probe(self, wanted: Probing) -> None:
        """Begin a probe of a link."""
        self._begin(Order.PROBE, wanted)

    def sound(self, wanted: Sound) -> None:
        """Begin a sound for a person."""
        self._begin(Order.SOUND, wanted)

    def listen(self, ear: Ear | None) -> None:
        """Tell what inputs hear while nothing plays; None: no more."""
        self._ear = ear
        if self._hearing is None:
            self._listen_again()

    def hear(self, wanted: "ListenFor") -> None:
        """Follow a calibrator on the microphone until it has settled."""
        self._listening = None
        self._hearing = self._order(Order.HEAR, wanted)

    def stop_hearing(self) -> None:
        """Follow no more; nothing of that coupling is told."""
        if self._hearing is not None:
            self._listen_again()

    def stop(self) -> None:
        """Ramp to silence within one block of the card, at any time.

        A process that plays on all the same is ended, and the sound with it.
        """
        if self._link is not None and self._making is not None:
            self._link.stop(self._making)
            self._stop_limit.start()

    def release_card(self) -> None:
        """Close the card, so that whoever wants it next looks for it afresh; ends listening."""
        self._ear = self._listening = self._hearing = None
        if self._link is None:
            QTimer.singleShot(0, self, self.free.emit)
        else:
            self._letting_go = self._order(Order.LET_GO)

    def close(self) -> None:
        """Silence, close the card, end the process; nothing is told any more."""
        self.stop()
        self._stop_limit.stop()
        if self._link is not None:
            self._drop(self._link)

    def _order(self, order: Order, what: object = None) -> int:
        if self._link is None:
            self._has_spoken = False
            self._link = engine_link.start_engine()
            self._link.told.connect(self._hear)
            self._link.gone.connect(self._lose)
        number = self._link.next_number()
        self._link.order(order, what, number=number)
        return number

    def _begin(self, order: Order, wanted: Wanted | Probing | Sound) -> None:
        self._listening = self._hearing = None
        self._sounds = self._is_over = False
        self._stop_limit.stop()  # of a run that has stopped, but whose end is still to be told
        self._making = self._order(order, wanted)

    def _listen_again(self) -> None:
        self._hearing = self._listening = None
        if self._ear is not None:
            self._listening = self._order(Order.LISTEN, self._ear)
        elif self._link is not None:
            self._order(Order.HUSH)

    def _drop(self, gone: Link) -> None:
        """Let a process end; it tells nothing any more."""
        gone.told.disconnect(self._hear)
        gone.gone.disconnect(self._lose)
        self._link = None
        gone.leave()

    @Slot(object)
    def _hear(self, told: Told) -> None:
        self._has_spoken = True
        match told.kind:
            case Report.TOLD | Report.FAILED | Report.ENDED:
                self._hear_of_run(told)
            case Report.FOLLOWED | Report.COUPLED | Report.UNHEARD:
                self._hear_of_coupling(told)
            case Report.HEARD | Report.DEAF:
                self._hear_of_silence(told)
            case Report.FREE:
                if told.number == self._letting_go:
                    self._letting_go = None
                    self.free.emit()
            case Report.DEFECT:
                assert isinstance(told.what, Broken)
                self._has_spoken = False  # or it would break again at the same place, and again
                defect = EngineDefectError(told.what.what)
                defect.add_note(told.what.trace)
                raise defect  # for the hook of those

    def _hear_of_run(self, told: Told) -> None:
        if told.kind is Report.FAILED:
            self._is_over = True
            self.failed.emit(told.what)
        elif told.kind is Report.TOLD:
            if isinstance(told.what, Entered):
                self._sounds = told.what.state in _AUDIBLE
                self._is_over = told.what.state in {State.DONE, State.STOPPED}
            self.told.emit(told.what)
        elif told.number == self._making:  # nobody has begun another meanwhile
            self._making = None
            self._stop_limit.stop()
            self._listen_again()

    def _hear_of_silence(self, told: Told) -> None:
        if told.kind is Report.HEARD:
            if told.number in {self._listening, self._hearing}:
                self.heard.emit(told.what)
        elif told.number == self._listening:
            self._ear = self._listening = None
            self.deaf.emit(told.what)

    def _hear_of_coupling(self, told: Told) -> None:
        if told.number != self._hearing:
            return  # it was stopped, and somebody else has the card
        if told.kind is Report.FOLLOWED:
            self.followed.emit(told.what)
            return
        self._listen_again()
        if told.kind is Report.UNHEARD:
            self.unheard.emit(told.what)
        elif told.what is not None:
            self.coupled.emit(told.what)

    @Slot()
    def _enforce_stop(self) -> None:
        if self._link is not None and self._making is not None and self._sounds:
            self._link.kill()

    @Slot(str)
    def _lose(self, how: str) -> None:
        """Say what is lost with the process; the next order starts another."""
        if self._link is None:  # it was left meanwhile
            return
        self._drop(self._link)
        self._stop_limit.stop()
        mishap = Mishap(sentence=f"the process that measures ended {how}")
        making, hearing, letting_go = self._making, self._hearing, self._letting_go
        is_over = self._is_over
        self._making = self._hearing = self._listening = self._letting_go = None
        if self._has_spoken:
            self._listen_again()
        elif self._ear is not None:  # it does not even start
            self._ear = None
            self.deaf.emit(replace(mishap, card_lost=True))
        if letting_go is not None:
            self.free.emit()
        if hearing is not None:
            self.unheard.emit(mishap)
        if making is not None and not is_over:
            self.failed.emit(mishap)
