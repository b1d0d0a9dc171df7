"""The right column of the defects: what is probably wrong, and the reading of one tone."""

from collections.abc import Sequence

from PySide6.QtWidgets import QSizePolicy, QWidget

from app.desktop.actions import Actions
from app.desktop.controls.facts_table import FactsTable
from app.desktop.controls.section_head import SectionHead
from app.desktop.panels.measure.panel_column import PanelColumn
from app.desktop.panels.measure.result_column import lay_out_results
from app.desktop.panels.measure.sentences import Sentences
from app.desktop.presenters.defects_words import FindingsState
from app.desktop.presenters.figures import Fact

_GAP = 8


class DefectsResults(QWidget):
    """Paints findings and facts."""

    def __init__(self, actions: Actions, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self._head, self.said = SectionHead("Findings"), Sentences()
        self._facts_head = SectionHead("Reading")
        self.facts = FactsTable("Reading")
        self.facts.setSizePolicy(QSizePolicy.Policy.Ignored, QSizePolicy.Policy.Fixed)
        self.column = PanelColumn(spacing=_GAP)
        for part in (self._head, self.said, self._facts_head, self.facts):
            self.column.lines.addWidget(part)
        self.column.lines.addStretch(1)
        lay_out_results(self, column=self.column, actions=actions)

    def set_findings(self, state: FindingsState) -> None:
        """Show other findings."""
        self._head.set_fact(state.told)
        self.said.say(state.said)
        self.column.fit()

    def set_facts(self, facts: Sequence[Fact], *, title: str, told: str) -> None:
        """Show the reading of another tone; none: no section."""
        self._facts_head.set_title(title)
        self._facts_head.set_fact(told)
        self.facts.set_facts(facts)
        self.facts.setFixedHeight(self.facts.sizeHint().height())
        for part in (self._facts_head, self.facts):
            part.setVisible(bool(facts))
        self.column.fit()
