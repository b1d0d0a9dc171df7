"""A draft becomes a revision: asks for name and reason, has it saved, says what comes next."""

from PySide6.QtCore import QObject, Signal

from app.desktop.bench import Bench
from app.desktop.panels.limits.revisions import RevisionsPanel
from app.desktop.panels.limits.words import Says
from app.measure.in_force import limit_set_of
from app.procedure.schema import Procedure
from app.records.limit_revisions import LimitRevision


class SaveDraft(QObject):
    """Saving goes through the worker; ``saved`` comes when a revision is kept."""

    saved = Signal()

    def __init__(self, bench: Bench, *, panel: RevisionsPanel, says: Says, parent: QObject) -> None:
        super().__init__(parent)
        self._bench, self._panel, self._says = bench, panel, says

    def save(self, *, is_draft: bool) -> None:
        """Save what is on the bench, if it is a draft and signed."""
        if not is_draft:
            return
        if not self._panel.ask():
            self._says.ask_reason()
            return
        store, procedure = self._bench.store, self._bench.procedure.procedure
        by, why = self._panel.by.text(), self._panel.why.text()
        self._bench.worker.ask(
            "limits: save",
            lambda: store.add_limit_revision(
                limit_set_of(procedure), procedure.masks, by=by, why=why
            ),
            then=lambda kept: self._keep(kept, procedure),
            refused=lambda error: self._says.refuse(f"{error}."),
        )

    def _keep(self, kept: LimitRevision, procedure: Procedure) -> None:
        self._bench.procedure_kept(procedure)
        self._panel.why.set_text("")
        self._says.tell(
            f"Revision {kept.number} of {kept.set_name} is in the store, as a draft.",
            next_step="A approves it; then lines run it.",
        )
        self.saved.emit()
