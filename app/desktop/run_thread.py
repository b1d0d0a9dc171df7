"""The thread in which takes are made and calibrators heard, on a card that is kept in between."""

from dataclasses import dataclass
from typing import TYPE_CHECKING

from PySide6.QtCore import QObject, QThread, Signal, Slot

from app.desktop.worker import Refusal
from app.measure.listen import Ear
from app.measure.make_take import Job
from app.measure.playing import Playing
from app.measure.probe_run import ProbeRun, Probing
from app.measure.runner import Run
from hardware.card import Card
from hardware.chain.snapshot import ChainSnapshot

if TYPE_CHECKING:  # slow to import: where nobody calibrates, nobody waits for it
    from app.calibrate.coupling import ListenFor


@dataclass(frozen=True, slots=True, eq=False, kw_only=True)
class _Asked:
    job: Job | Probing
    is_trial: bool


@dataclass(frozen=True, slots=True, eq=False, kw_only=True)
class _Listening:
    number: int
    ear: Ear


@dataclass(frozen=True, slots=True, eq=False, kw_only=True)
class _Coupling:
    number: int
    wanted: "ListenFor"


@dataclass(frozen=True, slots=True, eq=False, kw_only=True)
class _OfCoupling:
    number: int
    what: object  # Followed, Capture, or the exception that ended it; None where it was stopped


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
    followed = Signal(object)  # _OfCoupling: how far it has come
    coupled = Signal(object)  # _OfCoupling: how it ended

    def __init__(self) -> None:
        super().__init__()
        self.run: Playing | None = None
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

    @Slot(object)
    def hear(self, asked: _Coupling) -> None:
        """Hear one coupling of a calibrator until it has settled, or somebody wants the card."""
        from app.calibrate.coupling import hear_coupling
        from app.measure.listen import HeardLevels

        def tell(followed: object) -> None:
            self.followed.emit(_OfCoupling(number=asked.number, what=followed))

        ended: object = None
        rate = float(asked.wanted.chain.chain.device.sample_rate)
        try:
            if self.listening == asked.number:
                ended = hear_coupling(
                    asked.wanted,
                    card=self._card(asked.wanted.heard_through),
                    tell=tell,
                    hear=HeardLevels(rate, tell=self.heard.emit).add,
                    should_stop=lambda: self.listening != asked.number,
                )
        except Refusal as error:
            ended = error
        finally:
            self.coupled.emit(_OfCoupling(number=asked.number, what=ended))

    def _prepared(self, asked: _Asked) -> Playing:
        if isinstance(asked.job, Probing):
            return ProbeRun(asked.job, card=self._card(asked.job.chain))
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
    listens no more until it is asked to). ``free``: the card has been closed. A calibrator is
    followed (``followed``) until it has settled: ``coupled`` (the capture), ``unheard`` (why not).
    """

    told = Signal(object)
    failed = Signal(object)
    ended = Signal()
    heard = Signal(object)
    deaf = Signal(object)
    free = Signal()
    followed = Signal(object)
    coupled = Signal(object)
    unheard = Signal(object)
    _asked = Signal(object)
    _listened = Signal(object)
    _coupling = Signal(object)
    _released = Signal()

    def __init__(self, parent: QObject | None = None) -> None:
        super().__init__(parent)
        self._thread = QThread()
        self._maker = _Maker()
        self._maker.moveToThread(self._thread)
        self._ear: Ear | None = None
        self._hearing: int | None = None  # number of the coupling that is being heard
        self._asked.connect(self._maker.make)
        self._listened.connect(self._maker.listen)
        self._coupling.connect(self._maker.hear)
        self._released.connect(self._maker.let_go)
        self._maker.told.connect(self.told)
        self._maker.failed.connect(self.failed)
        self._maker.ended.connect(self.ended)
        self._maker.ended.connect(self._listen_again)
        self._maker.heard.connect(self.heard)
        self._maker.deaf.connect(self._lose_hearing)
        self._maker.free.connect(self.free)
        self._maker.followed.connect(self._follow)
        self._maker.coupled.connect(self._end_coupling)
        self._thread.start()

    def make(self, job: Job | Probing, *, is_trial: bool = False) -> None:
        """Begin a take, a quiet trial of one, or a probe of a link."""
        self._maker.stop_before_it_plays = False
        self._hush()
        self._asked.emit(_Asked(job=job, is_trial=is_trial))

    def listen(self, ear: Ear | None) -> None:
        """Tell what inputs hear while nothing plays; None: no more."""
        self._ear = ear
        if self._hearing is None:
            self._listen_again()

    def hear(self, wanted: "ListenFor") -> None:
        """Follow a calibrator on the microphone until it has settled."""
        self._hush()
        self._hearing = self._maker.listening
        self._coupling.emit(_Coupling(number=self._hearing, wanted=wanted))

    def stop_hearing(self) -> None:
        """Follow no more; nothing of that coupling is told."""
        if self._hearing is not None:
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
        self._hearing = None

    @Slot()
    def _listen_again(self) -> None:
        self._hush()
        if self._ear is not None:
            self._listened.emit(_Listening(number=self._maker.listening, ear=self._ear))

    @Slot(object)
    def _lose_hearing(self, error: Exception) -> None:
        self._ear = None
        self.deaf.emit(error)

    @Slot(object)
    def _follow(self, told: _OfCoupling) -> None:
        if told.number == self._hearing:
            self.followed.emit(told.what)

    @Slot(object)
    def _end_coupling(self, told: _OfCoupling) -> None:
        if told.number != self._hearing:
            return  # it was stopped, and somebody else has the card
        self._listen_again()
        if isinstance(told.what, Exception):
            self.unheard.emit(told.what)
        elif told.what is not None:
            self.coupled.emit(told.what)
