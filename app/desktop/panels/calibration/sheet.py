"""A kept calibration, opened: three columns that a bay puts where it has room."""

from PySide6.QtWidgets import QVBoxLayout, QWidget

from app.desktop.controls.facts_table import FactsTable
from app.desktop.controls.prose import Prose
from app.desktop.controls.section_head import SectionHead
from app.desktop.controls.verdict_head import VerdictHead
from app.desktop.panels.calibration.check_list import CheckList
from app.desktop.panels.calibration.fact_lines import FactLines
from app.desktop.presenters.calibration_sheet import FoundState, SheetState

_GAP = 8


class SheetFacts(QWidget):
    """Who, when, with what, in which air, how; what to mind, and the operator's note."""

    def __init__(self, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self.head, self.lines = SectionHead(""), FactLines()
        self.method, self.remarks, self.note = Prose(), Prose(), Prose()
        self._remarks_head, self._note_head = SectionHead("To be minded"), SectionHead("Note")
        lines = _column(self)
        lines.addWidget(self.head)
        lines.addWidget(self.lines)
        lines.addWidget(SectionHead("How"))
        lines.addWidget(self.method)
        lines.addWidget(self._remarks_head)
        lines.addWidget(self.remarks)
        lines.addWidget(self._note_head)
        lines.addWidget(self.note)
        lines.addStretch(1)

    def set_sheet(self, sheet: SheetState | None) -> None:
        """Show another one; None: nothing is chosen."""
        self.head.set_title("Record" if sheet is None else sheet.title)
        self.lines.set_lines(() if sheet is None else sheet.facts)
        self.method.set_text("" if sheet is None else sheet.method)
        note = "" if sheet is None else sheet.note
        remarks = "" if sheet is None else "\n".join(sheet.remarks)
        for said, head, prose in (
            (remarks, self._remarks_head, self.remarks),
            (note, self._note_head, self.note),
        ):
            prose.set_text(said)
            for widget in (head, prose):
                widget.setVisible(bool(said))


class SheetLooked(QWidget):
    """How it stands, every value, every check."""

    def __init__(self, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self.verdict = VerdictHead()
        self.results = FactsTable("What was found", words=True)
        self._results_head = SectionHead("Found")
        self._checks_head, self.checks = SectionHead("Looked at"), CheckList()
        lines = _column(self)
        lines.addWidget(self.verdict)
        lines.addWidget(self._results_head)
        lines.addWidget(self.results)
        lines.addWidget(self._checks_head)
        lines.addWidget(self.checks)
        lines.addStretch(1)

    def set_found(self, found: FoundState | None, *, none: tuple[str, str] = ("", "")) -> None:
        """Show what was found; None: nothing is, as ``none`` says in a word and a line."""
        several = found is not None and len(found.results) > 1
        for widget in (self.results, self._results_head):
            widget.setVisible(several)
        if found is None:
            self.verdict.set_verdict(None, *none)
            self.results.set_facts(())
            self.checks.set_checks(())
            self._checks_head.set_fact("")
            return
        self.verdict.set_verdict(found.mark, found.word, found.detail)
        self.results.set_facts(found.results)
        self.checks.set_checks(found.checks)
        self._checks_head.set_fact(found.told)


class SheetBudget(QWidget):
    """Where the interval comes from; below it there is room for buttons."""

    def __init__(self, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self.head = SectionHead("Interval, by source")
        self.budget = FactsTable("Interval by source")
        lines = _column(self)
        lines.addWidget(self.head)
        lines.addWidget(self.budget)
        lines.addStretch(1)

    def set_found(self, found: FoundState | None) -> None:
        """Show the budget of the chief value; None: there is none."""
        self.head.set_fact("" if found is None else found.coverage)
        self.budget.set_facts(() if found is None else found.budget)


def _column(whole: QWidget) -> QVBoxLayout:
    lines = QVBoxLayout(whole)
    lines.setContentsMargins(0, 0, 0, 0)
    lines.setSpacing(_GAP)
    return lines
