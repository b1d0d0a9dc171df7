"""Asks before something drops what was edited and not saved, and saves it where that is wanted."""

from collections.abc import Callable
from enum import Flag, auto
from typing import TYPE_CHECKING

from PySide6.QtCore import QObject, Slot

from app.desktop.window import MainWindow

if TYPE_CHECKING:
    from app.desktop.unsaved_sheet import UnsavedSheet


class Edited(Flag):
    """What can be edited and left unsaved."""

    CHAIN = auto()
    LIMITS = auto()


class Leaving(QObject):
    """Stands between a person's wish and what it would drop; at most one question is open."""

    def __init__(self, window: MainWindow) -> None:
        super().__init__(window)
        self._window = window
        self._then: Callable[[], None] | None = None
        self.sheet: UnsavedSheet | None = None
        window.before_leaving = self.asks_before_closing

    def asks_before_closing(self) -> bool:
        """Ask before the window closes; tell whether there is anything to ask."""
        self.ask("Before the window closes", of=Edited.CHAIN | Edited.LIMITS, then=None)
        return self.sheet is not None

    def ask(self, title: str, *, of: Edited, then: Callable[[], None] | None) -> None:
        """Go on at once where all is saved, else when a person has said what shall become of it.

        Parameters
        ----------
        title : str
            What is about to happen.
        of : Edited
            What it would drop.
        then : callable or None
            What to go on with; None: close the window, which goes on by itself if nothing is asked.
        """
        if self.sheet is not None:
            self.sheet.activateWindow()
            return
        wanted = of & self._unsaved()
        if not wanted:
            if then is not None:
                then()
            return
        self._then = self._window.leave if then is None else then
        self._open(title, wanted)

    def _unsaved(self) -> Edited:
        found, bench = Edited(0), self._window.bench
        if bench is not None and bench.chain != bench.chain_to_return_to:
            found |= Edited.CHAIN
        if bench is not None and bench.kept_procedure is not None:
            found |= Edited.LIMITS
        return found

    def _open(self, title: str, wanted: Edited) -> None:
        from app.desktop.person import person
        from app.desktop.presenters.unsaved import unsaved_chain, unsaved_limits
        from app.desktop.unsaved_sheet import UnsavedSheet  # slow, as all that knows of limits

        bench, parts = self._window.bench, []
        assert bench is not None  # something was edited on it
        if Edited.CHAIN in wanted:
            before, now = bench.chain_to_return_to.chain, bench.chain.chain
            parts.append(unsaved_chain(before, now, file=bench.wired.file))
        signs, kept = Edited.LIMITS in wanted, bench.kept_procedure
        if signs and kept is not None:
            now_procedure = bench.procedure.procedure
            parts.append(
                unsaved_limits(kept.masks, now_procedure.masks, procedure=now_procedure.name)
            )
        sheet = UnsavedSheet(
            title, parts=parts, by=person() if signs else None, parent=self._window
        )
        sheet.save_asked.connect(lambda: self._save(wanted))
        sheet.left_asked.connect(self._go_on)
        sheet.finished.connect(self._forget)
        self.sheet = sheet
        sheet.open()

    def _save(self, wanted: Edited) -> None:
        """Save one after the other; what is saved already needs no second time."""
        still = wanted & self._unsaved()
        if Edited.CHAIN in still:
            self._save_chain(wanted)
        elif Edited.LIMITS in still:
            self._save_limits(wanted)
        else:
            self._go_on()

    def _save_chain(self, wanted: Edited) -> None:
        from app.desktop.panels.chain.chain_file import ChainFile

        bench, sheet = self._window.bench, self.sheet
        if bench is None or sheet is None:
            return
        file = ChainFile(bench, sheet)
        file.saved.connect(lambda _: self._save(wanted))
        file.refused.connect(self._refuse)
        file.save()

    def _save_limits(self, wanted: Edited) -> None:
        from app.measure.in_force import limit_set_of

        bench, sheet = self._window.bench, self.sheet
        if bench is None or sheet is None:
            return
        store, procedure = bench.store, bench.procedure.procedure
        by, why = sheet.by.text(), sheet.why.text()

        def kept(_: object) -> None:
            bench.procedure_kept(procedure)
            bench.store_changed.emit()
            self._save(wanted)

        sheet.set_busy(busy=True)
        bench.worker.ask(
            "save the limits",
            lambda: store.add_limit_revision(
                limit_set_of(procedure), procedure.masks, by=by, why=why
            ),
            then=kept,
            refused=lambda error: self._refuse(str(error)),
        )

    @Slot(str)
    def _refuse(self, sentence: str) -> None:
        if self.sheet is not None:
            self.sheet.refuse(f"Not saved: {sentence.rstrip('.')}. Nothing is lost yet.")

    @Slot()
    def _go_on(self) -> None:
        then = self._then
        if self.sheet is not None:
            self.sheet.accept()  # first, so that what follows finds the window in front
        if then is not None:
            then()

    @Slot()
    def _forget(self) -> None:
        sheet, self.sheet, self._then = self.sheet, None, None
        if sheet is not None:
            sheet.deleteLater()
