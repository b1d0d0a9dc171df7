"""Does what the window orders, on a card that is kept in between."""

from collections.abc import Callable
from dataclasses import dataclass, replace

from app.calibrate.coupling import ListenFor, hear_coupling
from app.desktop.engine.messages import Frame, Mishap, Order, Report, Wanted
from app.desktop.engine.orders import Orders
from app.desktop.refusal import Refusal
from app.measure.excite import excite
from app.measure.level_trial import LevelTrial
from app.measure.listen import Ear, HeardLevels, listen, open_ear
from app.measure.playing import Playing
from app.measure.probe_run import ProbeRun, Probing
from app.measure.runner import Run
from app.measure.sound_run import Sound, SoundRun
from app.records.store import Store
from hardware.card import Card
from hardware.chain.snapshot import ChainSnapshot
from hardware.errors import CardLostError
from hardware.open_card import open_card

Tell = Callable[[Report, int, object], None]


@dataclass(frozen=True, slots=True, eq=False, kw_only=True)
class _CardHeld:
    what: object  # that the card depends on
    card: Card


class Player:
    """Makes takes, listens, hears calibrators; of one window and, at a time, one store.

    Parameters
    ----------
    orders : Orders
        Tells what has been stopped meanwhile, and what was ordered since.
    tell : callable
        Sends a report: kind, number of the order, what.
    """

    def __init__(self, orders: Orders, *, tell: Tell) -> None:
        self._orders, self._tell = orders, tell
        self._held: _CardHeld | None = None
        self._store: Store | None = None

    def do(self, frame: Frame) -> None:
        """Do what was ordered, to its end."""
        what, number = frame.what(), frame.number
        match Order(frame.kind), what:
            case Order.MAKE, Wanted():
                self._run(lambda: self._take(what, kind=Run), number=number)
            case Order.TRY, Wanted():
                self._run(lambda: self._take(what, kind=LevelTrial), number=number)
            case Order.PROBE, Probing():
                self._run(lambda: ProbeRun(what, card=self._card(what.chain)), number=number)
            case Order.SOUND, Sound():
                self._run(lambda: SoundRun(what, card=self._card(what.chain)), number=number)
            case Order.LISTEN, Ear():
                self._listen(what, number=number)
            case Order.HEAR, ListenFor():
                self._hear(what, number=number)
            case Order.LET_GO, _:
                self._close_card()
                self._tell(Report.FREE, number, None)
            case _:  # to be newer was all
                pass

    def close(self) -> None:
        """Let go of card and store."""
        self._close_card()
        self._close_store()

    def _run(self, prepare: Callable[[], Playing], *, number: int) -> None:
        try:
            run = prepare()
            self._orders.hold(run.stop, number=number)
            for event in run.events():
                self._tell(Report.TOLD, number, event)
        except Refusal as error:
            self._tell(Report.FAILED, number, _mishap(error))
        finally:
            self._orders.hold(None, number=number)
        self._tell(Report.ENDED, number, None)

    def _take(self, wanted: Wanted, *, kind: type[Run]) -> Run:
        job = replace(wanted.job, store=self._store_at(wanted.store))
        excitation = excite(job.procedure, job.chain)
        return kind(job, excitation=excitation, card=self._card(job.chain))

    def _listen(self, ear: Ear, *, number: int) -> None:
        """Tell what the inputs hear until anything newer is ordered."""
        if not self._orders.is_newest(number):
            return
        own: Card | None = None
        try:
            own = open_ear(ear.chain)
            listen(
                ear,
                card=own or self._card(ear.chain),
                tell=lambda dbfs: self._tell(Report.HEARD, number, dbfs),
                should_stop=lambda: not self._orders.is_newest(number),
            )
        except Refusal as error:
            self._tell(Report.DEAF, number, _mishap(error))
        finally:
            if own is not None:
                own.close()

    def _hear(self, wanted: ListenFor, *, number: int) -> None:
        """Hear one coupling until it has settled, or anything newer is ordered."""
        if not self._orders.is_newest(number):
            return
        levels = HeardLevels(
            float(wanted.chain.chain.device.sample_rate),
            tell=lambda dbfs: self._tell(Report.HEARD, number, dbfs),
        )
        try:
            capture = hear_coupling(
                wanted,
                card=self._card(wanted.heard_through),
                tell=lambda followed: self._tell(Report.FOLLOWED, number, followed),
                hear=levels.add,
                should_stop=lambda: not self._orders.is_newest(number),
            )
        except Refusal as error:
            self._tell(Report.UNHEARD, number, _mishap(error))
        else:
            self._tell(Report.COUPLED, number, capture)

    def _card(self, chain: ChainSnapshot) -> Card:
        # The rig is all that the chain says; a sound card stays the same behind another microphone.
        device = chain.chain.device
        what: object = chain if device.backend == "virtual" else device
        if self._held is None or self._held.what != what:
            self._close_card()
            self._held = _CardHeld(what=what, card=open_card(chain))
        return self._held.card

    def _close_card(self) -> None:
        if self._held is not None:
            self._held.card.close()
            self._held = None

    def _store_at(self, address: str | None) -> Store | None:
        if self._store is not None and self._store.address != address:
            self._close_store()
        if self._store is None and address is not None:
            self._store = Store.open(address)
        return self._store

    def _close_store(self) -> None:
        if self._store is not None:
            self._store.close()
            self._store = None


def _mishap(error: Exception) -> Mishap:
    return Mishap(sentence=str(error), card_lost=isinstance(error, CardLostError))
