"""The thread in which takes are made, one after another, on a card that is kept between them."""

from dataclasses import dataclass

from PySide6.QtCore import QObject, QThread, Signal, Slot

from app.desktop.worker import Refusal
from app.measure.listen import Ear
from app.measure.make_take import Job
from app.measure.runner import Run
from hardware.card import Card
from hardware.chain.snapshot import ChainSnapshot


@dataclass(frozen=True, slots=True, eq=False, kw_only=True)
class _Asked:
    job: Job
    is_trial: bool


@dataclass(frozen=True, slots=True, eq=False, kw_only=True)
class _Listening:
    number: int
    ear: Ear


@dataclass(frozen=True, slots=True, eq=False, kw_only=True)
class _CardHeld:
    what: object  # that the card depends on
    card: Card


class _Maker(QObject):
    told = Signal(object)  # an event of app.measure.events
    failed = Signal(object)  # the exception
    ended = Signal()  # last of all, however it went
    heard = Signal(object)  # dB of each input, while nothing plays
    deaf = Signal(object)  # the exception that ended the listening
    free = Signal()  # the card is closed

    def __init__(self) -> None:
        super().__init__()
        self.run: Run | None = None
        self.stop_before_it_plays = False
        self.listening = 0  # number of the listening that may go on
        self._held: _CardHeld | None = None

    @Slot(object)
    def make(self, asked: _Asked) -> None:
        try:
            self.run = self._prepared(asked)
            if self.stop_before_it_plays:
                self.run.stop()
            for event in self.run.events():
                self.told.emit(event)
        except Refusal as error:
            self.failed.emit(error)
        finally:
            self.run = None
            self.ended.emit()

    @Slot(object)
    def listen(self, wanted: _Listening) -> None:
        """Tell what the inputs hear until somebody wants the card, or listens anew."""
        from app.measure.listen import listen, open_ear

        own: Card | None = None
        try:
            own = open_ear(wanted.ear.chain)
            listen(
                wanted.ear,
                card=own or self._card(wanted.ear.chain),
                tell=self.heard.emit,
                should_stop=lambda: self.listening != wanted.number,
            )
        except Refusal as error:
            self.deaf.emit(error)
        finally:
            if own is not None:
                own.close()

    def _prepared(self, asked: _Asked) -> Run:
        # Slow to import: here they hold up nothing that anybody sees.
        from app.measure.excite import excite
        from app.measure.level_trial import LevelTrial

        job = asked.job
        excitation = excite(job.procedure, job.chain)
        kind = LevelTrial if asked.is_trial else Run
        return kind(job, excitation=excitation, card=self._card(job.chain))

    def _card(self, chain: ChainSnapshot) -> Card:
        from hardware.open_card import open_card

        # The rig is all that the chain says; a sound card stays the same behind another microphone.
        device = chain.chain.device
        what: object = chain if device.backend == "virtual" else device
        if self._held is None or self._held.what != what:
            self._close_card()
            self._held = _CardHeld(what=what, card=open_card(chain))
        return self._held.card

    @Slot()
    def let_go(self) -> None:
        """Close the card; the next take opens it afresh."""
        self._close_card()
        self.free.emit()

    def _close_card(self) -> None:
        if self._held is not None:
            self._held.card.close()
            self._held = None


class RunThread(QObject):
    """Makes takes away from the window's thread.

    ``told`` (events of a run), ``failed`` (an exception that a person can act upon) and ``ended``
    (last of all, however it went) arrive in the thread that made this object. Between takes it
    listens, where that is wanted: ``heard`` (dB of each input), ``deaf`` (an exception; it then
    listens no more until it is asked to). ``free``: the card has been closed.
    """

    told = Signal(object)
    failed = Signal(object)
    ended = Signal()
    heard = Signal(object)
    deaf = Signal(object)
    free = Signal()
    _asked = Signal(object)
    _listened = Signal(object)
    _released = Signal()

    def __init__(self, parent: QObject | None = None) -> None:
        super().__init__(parent)
        self._thread = QThread()
        self._maker = _Maker()
        self._maker.moveToThread(self._thread)
        self._ear: Ear | None = None
        self._asked.connect(self._maker.make)
        self._listened.connect(self._maker.listen)
        self._released.connect(self._maker.let_go)
        self._maker.told.connect(self.told)
        self._maker.failed.connect(self.failed)
        self._maker.ended.connect(self.ended)
        self._maker.ended.connect(self._listen_again)
        self._maker.heard.connect(self.heard)
        self._maker.deaf.connect(self._lose_hearing)
        self._maker.free.connect(self.free)
        self._thread.start()

    def make(self, job: Job, *, is_trial: bool = False) -> None:
        """Begin a take, or a quiet trial of one."""
        self._maker.stop_before_it_plays = False
        self._hush()
        self._asked.emit(_Asked(job=job, is_trial=is_trial))

    def listen(self, ear: Ear | None) -> None:
        """Tell what inputs hear while nothing plays; None: no more."""
        self._ear = ear
        self._listen_again()

    def stop(self) -> None:
        """Ramp to silence within one block of the card; from any thread, at any time."""
        self._maker.stop_before_it_plays = True
        if (run := self._maker.run) is not None:
            run.stop()

    def release_card(self) -> None:
        """Close the card, so that whoever wants it next looks for it afresh; ends listening."""
        self._ear = None
        self._hush()
        self._released.emit()

    def close(self) -> None:
        """Silence, close the card, end the thread."""
        self.stop()
        self.release_card()
        self._thread.quit()
        self._thread.wait()

    def _hush(self) -> None:
        self._maker.listening += 1

    @Slot()
    def _listen_again(self) -> None:
        self._hush()
        if self._ear is not None:
            self._listened.emit(_Listening(number=self._maker.listening, ear=self._ear))

    @Slot(object)
    def _lose_hearing(self, error: Exception) -> None:
        self._ear = None
        self.deaf.emit(error)
