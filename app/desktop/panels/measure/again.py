"""The shown take derived again in the worker: for its impulse response, through another gate."""

from collections.abc import Callable
from dataclasses import dataclass

from PySide6.QtCore import QObject, Signal

from app.desktop.bench import Bench
from app.measure.again import (
    Opened,
    derive_again,
    impulse_of,
    open_take,
    with_calibrations,
    with_gate,
    with_procedure,
)
from app.measure.events import Finished
from app.records.store import Store
from app.records.take import Take
from dsp.response.impulse import ImpulseResponse
from dsp.response.reflection import Reflection, first_reflection

_GATE = "gate of Measure"


class Opener:
    """Keeps the take that was opened last; used by jobs of the one worker, never by two at once."""

    def __init__(self) -> None:
        self._opened: Opened | None = None

    def opened(self, store: Store, take_id: str) -> Opened:
        """Return a take with its recording."""
        if self._opened is None or self._opened.take.id != take_id:
            self._opened = open_take(store, take_id)
        return self._opened


@dataclass(frozen=True, slots=True, eq=False, kw_only=True)
class _Heard:
    take_id: str
    impulse: ImpulseResponse | None
    reflection: Reflection | None


def _heard(take_id: str, impulse: ImpulseResponse | None) -> _Heard:
    reflection = None if impulse is None else first_reflection(impulse)
    return _Heard(take_id=take_id, impulse=impulse, reflection=reflection)


@dataclass(frozen=True, slots=True, eq=False, kw_only=True)
class _Kept:
    finished: Finished
    number: int


class Again(QObject):
    """Asks the worker, of every kind of question only the latest.

    ``impulse_found`` tells that ``impulse`` is another; ``gated`` (Finished) carries a take as the
    gate under the hand would have it, not kept; ``kept`` (Finished, number) one that was kept;
    ``refused`` (one line) why one could not be derived.
    """

    impulse_found = Signal()
    gated = Signal(object)
    kept = Signal(object, int)
    refused = Signal(str)

    def __init__(self, bench: Bench, parent: QObject | None = None) -> None:
        super().__init__(parent)
        self._bench, self._opener = bench, Opener()
        self._impulse: _Heard | None = None
        self._sought = ""  # id of the take whose response is known, or being looked for

    @property
    def opener(self) -> Opener:
        """What other jobs of the worker open takes with."""
        return self._opener

    def impulse(self, take: Take | None) -> ImpulseResponse | None:
        """Return the response of a take, if it has been found by now."""
        if take is None or self._impulse is None or self._impulse.take_id != take.id:
            return None
        return self._impulse.impulse

    def reflection(self, take: Take | None) -> Reflection | None:
        """Return the first reflection in the response of a take, if one stands out."""
        if take is None or self._impulse is None or self._impulse.take_id != take.id:
            return None
        return self._impulse.reflection

    def remember(self, finished: Finished) -> None:
        """Take the response of a take that has just been derived."""
        take_id, impulse = finished.take.id, finished.derived.impulse
        self._seek(take_id, lambda: _heard(take_id, impulse))

    def find_impulse(self, take_id: str) -> None:
        """Look a stored take's response up, unless it is known."""
        store, opener = self._bench.store, self._opener
        self._seek(take_id, lambda: _heard(take_id, impulse_of(opener.opened(store, take_id))))

    def forget_gate(self) -> None:
        """Ask for no other gate any more."""
        self._bench.worker.forget(_GATE)

    def with_gate(self, take_id: str, gate_ms: float | None) -> None:
        """Derive a take as another gate would have it, None opens it; nothing is kept."""
        store, opener = self._bench.store, self._opener

        def work() -> Finished:
            opened = opener.opened(store, take_id)
            return derive_again(with_gate(opened, gate_ms=gate_ms), store=store, keep=False)

        self._ask(_GATE, work, then=self.gated.emit)

    def keep(self, take: Take) -> None:
        """Derive a take with the procedure and the calibrations on the bench, and keep it.

        A procedure of another name, and a chain that is wired otherwise, do not count: the take's
        own hold then.
        """
        bench, opener = self._bench, self._opener
        store, loaded, chain = bench.store, bench.procedure, bench.chain

        def work() -> _Kept:
            opened = with_calibrations(opener.opened(store, take.id), chain=chain)
            if loaded.procedure.name == take.procedure.name:
                opened = with_procedure(opened, procedure=loaded.procedure)
            finished = derive_again(opened, store=store)
            return _Kept(finished=finished, number=store.number(finished.take.id))

        self.forget_gate()
        self._ask("derive again", work, then=self._tell_kept)

    def _seek(self, take_id: str, work: Callable[[], _Heard]) -> None:
        if take_id != self._sought:
            self._sought = take_id
            self._bench.worker.ask(
                "impulse response", work, then=self._take_impulse, refused=self._give_up
            )

    def _give_up(self, error: Exception) -> None:
        self._sought = ""
        self._refuse(error)

    def _ask(self, topic: str, work: Callable[[], object], *, then: Callable[..., None]) -> None:
        self._bench.worker.ask(topic, work, then=then, refused=self._refuse)

    def _take_impulse(self, heard: _Heard) -> None:
        self._impulse = heard
        self.impulse_found.emit()

    def _tell_kept(self, kept: _Kept) -> None:
        self.remember(kept.finished)
        self.kept.emit(kept.finished, kept.number)

    def _refuse(self, error: Exception) -> None:
        self.refused.emit(str(error))
