"""What is done in the Chain bay in place of its columns: a calibrator heard, or a link proved."""

from collections.abc import Callable
from typing import TYPE_CHECKING

from PySide6.QtCore import QObject, Signal, Slot
from PySide6.QtWidgets import QStackedWidget, QWidget

from app.desktop.actions import Actions
from app.desktop.bench import Bench, Wired
from app.desktop.panels.chain.presenting import Presenting
from app.desktop.presenters.bay_words import BayWords
from app.desktop.presenters.chain_words import can_prove

if TYPE_CHECKING:
    from app.calibrate.run import Calibrated
    from app.desktop.panels.chain.calibrating import Calibrating
    from app.desktop.panels.chain.proving import Proving

_WITHIN = ("keep", "again", "leave_calibration", "play_probe")


class Proofs(QObject):
    """Opens, closes and ends them.

    ``began``: one has the place of the columns. ``ended``: they have it again. ``kept`` (words, and
    whether the chain changed): a record is in the store.
    """

    began = Signal()
    ended = Signal()
    kept = Signal(str, bool)

    def __init__(
        self,
        bench: Bench,
        actions: Actions,
        *,
        presenting: Presenting,
        pages: QStackedWidget,
        say: Callable[[BayWords], None],
        parent: QWidget,
    ) -> None:
        super().__init__(parent)
        self._bench, self._actions, self._presenting = bench, actions, presenting
        self._pages, self._say, self._bay = pages, say, parent
        self.calibrating: Calibrating | None = None  # both are made when they are first asked for
        self.proving: Proving | None = None
        actions.of("calibrate").triggered.connect(lambda: self.open(presenting.chosen))
        actions.of("prove_chain").triggered.connect(lambda: self.open("chain"))
        for action in _WITHIN:
            actions.of(action).setVisible(False)

    @property
    def is_open(self) -> bool:
        """Whether one is under way."""
        return any(one is not None and one.is_open for one in (self.calibrating, self.proving))

    def allow(self) -> None:
        """Offer what can be proved now."""
        chain, chosen = self._bench.chain.chain, self._presenting.chosen
        can = can_prove(chosen) and (chosen != "microphone" or chain.input.pressure is not None)
        self._actions.of("calibrate").setVisible(can and not self.is_open)
        self._actions.of("prove_chain").setVisible(not self.is_open)

    def open(self, link: str) -> None:
        """Begin to prove a link, ``chain`` for the whole of it; nothing where that is no way."""
        if self.is_open or self._bench.run.is_active:
            return
        if link == "microphone":
            self._calibrate()
        else:
            self._prove(link)

    def close(self) -> bool:
        """Leave what is under way, unchanged; tell whether there was any."""
        for one in (self.calibrating, self.proving):
            if one is not None and one.is_open:
                one.close()
                return True
        return False

    def _calibrate(self) -> None:
        if self._bench.chain.chain.input.pressure is None:
            return
        if self.calibrating is None:
            from app.desktop.panels.chain.calibrating import Calibrating

            made = Calibrating(self._bench, self._actions, say=self._say, parent=self._bay)
            made.closed.connect(self.ended)
            made.kept.connect(self._take_microphone)
            self._pages.addWidget(made.page)
            self.calibrating = made
        self._begin(self.calibrating.page)
        self.calibrating.open(self._presenting.shown_history)
        self.calibrating.seen.trace.setFocus()  # no field: letters act at once

    def _prove(self, link: str) -> None:
        from app.desktop.panels.chain.proving import Proving
        from app.desktop.presenters.prove_ways import way_for, ways_of

        way = way_for(link, ways_of(self._bench.chain.chain))
        if way is None:
            return
        if self.proving is None:
            made = Proving(self._bench, self._actions, say=self._say, parent=self._bay)
            made.closed.connect(self.ended)
            made.kept.connect(self._take_proof)
            self._pages.addWidget(made.page)
            self.proving = made
        self._begin(self.proving.page)
        self.proving.open(way)
        self.proving.page.setFocus()

    def _begin(self, page: QWidget) -> None:
        self.began.emit()
        self._actions.of("calibrate").setVisible(False)
        self._actions.of("prove_chain").setVisible(False)
        self._pages.setCurrentWidget(page)

    @Slot(object)
    def _take_microphone(self, done: "Calibrated") -> None:
        from app.desktop.presenters.calibrate_result import kept_words

        self._take(done, words=kept_words(done), edit="calibrate the microphone")

    @Slot(object)
    def _take_proof(self, done: "Calibrated") -> None:
        from app.desktop.presenters.kept_words import table_called
        from app.desktop.presenters.prove_words import kept_words

        called = table_called(done.record.link).lower()
        self._take(done, words=kept_words(done), edit=f"calibrate the {called}")

    def _take(self, done: "Calibrated", *, words: str, edit: str) -> None:
        """Put what was kept on the bench."""
        self.ended.emit()
        wired = Wired(snapshot=done.chain, file=self._bench.wired.file)
        changes = wired.snapshot != self._bench.chain
        if changes:
            self._bench.edit_chain(wired, text=edit)
        self.kept.emit(words, changes)
