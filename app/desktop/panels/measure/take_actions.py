"""What the keys of a take do: play, overlay, reference, derive again, go to a link."""

from functools import partial
from typing import TYPE_CHECKING

from PySide6.QtCore import QObject, Signal, Slot
from PySide6.QtWidgets import QWidget

from app.desktop.actions import Actions
from app.desktop.bench import Bench
from app.desktop.hearing import when_heard
from app.desktop.panels.measure.again import Again
from app.desktop.panels.measure.presenting import Presenting
from app.desktop.panels.measure.procedure_edits import ProcedureEdits
from app.desktop.panels.measure.ribbon import Ribbon
from app.desktop.panels.measure.shown_takes import ShownTakes
from app.desktop.person import person
from app.desktop.presenters.measure_ribbon import OVERLAY_KEYS, nth_overlay
from app.desktop.presenters.measure_stale import refused_in
from app.desktop.presenters.measure_words import words_said, words_while_deriving

if TYPE_CHECKING:
    from collections.abc import Callable

_WHY = "chosen in Measure"


class TakeActions(QObject):
    """Connects the actions; ``said`` (BayWords) tells what they did."""

    said = Signal(object)
    link_asked = Signal(str)

    def __init__(
        self,
        actions: Actions,
        *,
        bench: Bench,
        takes: ShownTakes,
        again: Again,
        edits: ProcedureEdits,
        presenting: Presenting,
        ribbon: Ribbon,
        parent: QWidget,
    ) -> None:
        super().__init__(parent)
        self._bench, self._takes, self._again = bench, takes, again
        self._edits, self._presenting, self._ribbon = edits, presenting, ribbon
        self._over = parent
        wired: list[tuple[str, Callable[[], None]]] = [
            ("play", self.play),
            ("set_reference", self.set_reference),
            ("derive_again", self.derive_again),
            ("look_again", self.look_again),
            ("to_link", self.go_to_link),
        ]
        wired += [
            (f"overlay.{key}", partial(self.overlay, key)) for key in range(1, OVERLAY_KEYS + 1)
        ]
        for action, slot in wired:
            actions.of(action).triggered.connect(lambda _=False, slot=slot: slot())

    @Slot()
    def play(self) -> None:
        """Begin a take; while one sounds, stop it."""
        if self._bench.run.is_sounding:
            self._bench.stop()
        elif not self._bench.run.is_active:
            when_heard(self._over, is_loud=self._edits.is_loud, then=self._bench.play)

    def overlay(self, key: int) -> None:
        """Lay the take with this digit over the one shown, or take it away."""
        take_id = nth_overlay(self._ribbon.state, key)
        if take_id is not None:
            self._takes.toggle(take_id)

    @Slot()
    def set_reference(self) -> None:
        """Make the shown take the reference of its procedure."""
        chosen = self._takes.chosen
        if chosen is None:
            return
        bench, take = self._bench, chosen.take
        happened = f"Take {chosen.number} is the reference of “{take.procedure.name}” from now on."

        def work() -> str:
            bench.store.set_reference(take.id, by=person(), why=_WHY)
            return happened

        bench.worker.ask("set the reference", work, then=self._reference_set, refused=self._refuse)

    def _reference_set(self, happened: str) -> None:
        self._bench.store_changed.emit()
        self.said.emit(words_said(happened, next_step="press X for differences to it."))

    @Slot()
    def derive_again(self) -> None:
        """Derive the shown take with procedure and calibrations of now, as a take of its own."""
        chosen = self._takes.chosen
        if chosen is None or self._bench.run.is_active:
            return
        self.said.emit(words_while_deriving(chosen.number))
        self._again.keep(chosen.take)

    @Slot()
    def look_again(self) -> None:
        """Let the card go, so that the next take looks for it afresh."""
        self._bench.look_again()
        self._presenting.failure = None
        self._presenting.move_on()
        self._presenting.present()

    @Slot()
    def go_to_link(self) -> None:
        """Go where the link that the shown take's chain lacks most is proved."""
        stale, chosen = self._presenting.stale, self._takes.chosen
        refused = () if chosen is None else refused_in(chosen.take.warnings)
        links = [*(one.link for one in stale), *(one.link for one in refused)]
        if links:
            self.link_asked.emit(links[0])

    def _refuse(self, error: Exception) -> None:
        self.said.emit(words_said(f"{error}.", next_step="put that right, and try again."))
