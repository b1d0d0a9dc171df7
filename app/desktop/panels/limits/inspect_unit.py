"""Notes what inspection found, in the store; everything that counts against it is counted anew."""

from PySide6.QtCore import QObject, Slot

from app.desktop.bench import Bench
from app.desktop.panels.limits.inspection import InspectionPanel
from app.desktop.panels.limits.presenting import Presenting
from app.desktop.panels.limits.words import Says


class InspectUnit(QObject):
    """Connects the panel to the store."""

    def __init__(
        self, bench: Bench, *, panel: InspectionPanel, presenting: Presenting, says: Says
    ) -> None:
        super().__init__(presenting)
        self._bench, self._panel = bench, panel
        self._presenting, self._says = presenting, says
        panel.found.connect(self._note)

    @Slot()
    def good(self) -> None:
        """Say that the units selected, or the one drawn last, were found good."""
        self._panel.ask("good")

    @Slot()
    def bad(self) -> None:
        """Say that they were found bad."""
        self._panel.ask("bad")

    @Slot(str, str, str)
    def _note(self, mark: str, by: str, why: str) -> None:
        unit = self._presenting.inspected
        if unit is None:
            return
        store, serials = self._bench.store, unit.serials
        self._bench.worker.ask(
            "limits: inspection",
            lambda: store.mark_units(serials, "good" if mark == "good" else "bad", by=by, why=why),
            then=lambda _: self._noted(serials, mark),
            refused=lambda error: self._says.tell(f"{error}.", next_step="try again."),
        )

    def _noted(self, serials: tuple[str, ...], mark: str) -> None:
        self._panel.why.set_text("")
        who = f"{serials[0]} was" if len(serials) == 1 else f"{len(serials)} units were"
        self._says.tell(f"{who} found {mark}.", next_step="go on with the next unit.")
        self._bench.store_changed.emit()
