"""From a revision on the bench to one that lines run: asks who and why, has it approved, tells."""

from PySide6.QtCore import QObject, Signal, Slot
from PySide6.QtWidgets import QWidget

from app.desktop.bench import Bench
from app.desktop.panels.limits.approval_sheet import ApprovalSheet
from app.desktop.panels.limits.presenting import Presenting
from app.desktop.panels.limits.trial_keeper import TrialKeeper
from app.desktop.panels.limits.words import Says
from app.desktop.person import person
from app.desktop.presenters.limits_approval import (
    Question,
    approval_question,
    retirement_question,
)
from app.measure.in_force import Runs, approve, run_revision
from app.records.limit_revisions import LimitRevision


class Approving(QObject):
    """``decided`` comes when the state of a revision is another one in the store."""

    decided = Signal()

    def __init__(
        self,
        bench: Bench,
        *,
        keeper: TrialKeeper,
        presenting: Presenting,
        says: Says,
        parent: QWidget,
    ) -> None:
        super().__init__(parent)
        self._bench, self._keeper = bench, keeper
        self._presenting, self._says = presenting, says
        self._window = parent
        self.sheet: ApprovalSheet | None = None
        self._asked_early = False
        keeper.judged.connect(self._go_on)

    @Slot()
    def approve(self) -> None:
        """Ask before the revision on the bench is approved; one that is, is run here at once.

        Pressed right after it was saved, this waits until that is known here, too.
        """
        self._asked_early = not self._keeper.is_settled
        if self._asked_early:
            return
        one, behind = self._presenting.on_bench, self._keeper.behind
        if one is None or behind is None:
            self._says.refuse(
                "the draft is not saved yet",
                what="Not approved",
                next_step="save it (Ctrl S), then approve it.",
            )
        elif one.state == "approved":
            self.run_here(one)
        else:
            question = approval_question(one, force=behind.force, by=person())
            seen = behind.force.approved
            self._ask(question).signed.connect(
                lambda by, why: self._approve(
                    one, by=by, why=why, seen=None if seen is None else seen.number
                )
            )

    @Slot()
    def retire(self) -> None:
        """Ask before the revision on the bench is retired."""
        one = self._presenting.on_bench
        if one is not None and one.state != "retired":
            self._ask(retirement_question(one)).signed.connect(
                lambda by, why: self._retire(one, by=by, why=why)
            )

    @Slot()
    def _go_on(self) -> None:
        if self._asked_early:
            self.approve()

    def run_here(self, one: LimitRevision) -> None:
        """Let the procedure on the bench run an approved revision, and its file say so."""
        loaded = self._bench.procedure
        self._bench.worker.ask(
            "limits: run",
            lambda: run_revision(loaded, one),
            then=lambda runs: self._run(runs, happened=f"Revision {one.number} is what runs here"),
            refused=lambda error: self._says.refuse(
                str(error), what="Not written", next_step="put that right, then press A again."
            ),
        )

    def _ask(self, question: Question) -> ApprovalSheet:
        sheet = ApprovalSheet(
            question.title,
            fact=question.fact,
            lines=question.lines,
            deed=question.deed,
            by=person(),
            parent=self._window,
        )
        sheet.finished.connect(self._forget)
        self.sheet = sheet
        sheet.open()
        return sheet

    def _approve(self, one: LimitRevision, *, by: str, why: str, seen: int | None) -> None:
        store, loaded = self._bench.store, self._bench.procedure
        self._bench.worker.ask(
            "limits: approve",
            lambda: approve(store, loaded, one, by=by, why=why, seen=seen),
            then=lambda runs: self._run(runs, happened=f"Revision {one.number} is approved"),
            refused=lambda error: self._refuse("Not approved", error),
        )

    def _retire(self, one: LimitRevision, *, by: str, why: str) -> None:
        store = self._bench.store

        def done(retired: LimitRevision) -> None:
            self._close()
            self._says.tell(
                f"Revision {retired.number} is retired.",
                next_step="approve another one, so that lines have limits to run.",
            )
            self.decided.emit()

        self._bench.worker.ask(
            "limits: retire",
            lambda: store.retire_limits(one.set_name, one.number, by=by, why=why),
            then=done,
            refused=lambda error: self._refuse("Not retired", error),
        )

    def _run(self, runs: Runs, *, happened: str) -> None:
        self._close()
        if runs.unwritten:
            self._says.refuse(
                runs.unwritten,
                what=f"{happened}, but not written",
                next_step="put that right; A then writes it into the procedure.",
            )
            self.decided.emit()
            return
        self._bench.procedure_kept(runs.loaded.procedure)
        self._bench.edit_procedure(runs.loaded, text=f"Run revision {runs.revision.number}")
        where = f", and written to {runs.file.name}" if runs.file is not None else ""
        self._says.tell(
            f"{happened}{where}.",
            next_step="measure the next unit against it in Line (Ctrl 4), or go on editing.",
        )
        self.decided.emit()

    def _refuse(self, what: str, error: Exception) -> None:
        sentence = f"{what}: {str(error).rstrip('.')}."
        if self.sheet is not None:
            self.sheet.refuse(f"{sentence} Leave this (Esc), and see what is in force now.")
        self.decided.emit()  # whatever stood in the way is to be seen

    def _close(self) -> None:
        if self.sheet is not None:
            self.sheet.accept()

    @Slot()
    def _forget(self) -> None:
        sheet, self.sheet = self.sheet, None
        if sheet is not None:
            sheet.deleteLater()
