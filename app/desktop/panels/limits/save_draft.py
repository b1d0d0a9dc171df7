"""A draft becomes a revision: asks for name and reason, has it saved, says where it is."""

from PySide6.QtCore import QObject, Signal

from app.desktop.bench import Bench
from app.desktop.panels.limits.revisions import RevisionsPanel
from app.desktop.panels.limits.words import Says
from app.measure.in_force import Kept, keep_revision
from app.procedure.schema import Procedure


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
        store, loaded = self._bench.store, self._bench.procedure
        by, why = self._panel.by.text(), self._panel.why.text()
        self._bench.worker.ask(
            "limits: save",
            lambda: keep_revision(store, loaded, by=by, why=why),
            then=lambda kept: self._keep(kept, loaded.procedure),
            refused=lambda error: self._says.refuse(f"{error}."),
        )

    def _keep(self, kept: Kept, procedure: Procedure) -> None:
        self._bench.procedure_kept(procedure)
        self._panel.why.set_text("")
        where = f" and written to {kept.file.name}" if kept.file is not None else ""
        self._says.tell(
            f"Revision {kept.revision.number} is in the store{where}.",
            next_step="measure the next unit against it, or go on editing.",
        )
        self.saved.emit()
