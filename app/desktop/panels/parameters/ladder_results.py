"""The right column of a ladder: what the unit is at no drive, and how far a level moves it."""

from PySide6.QtWidgets import QSizePolicy, QWidget

from app.desktop.actions import Actions
from app.desktop.controls.facts_table import FactsTable
from app.desktop.controls.section_head import SectionHead
from app.desktop.panels.measure.panel_column import PanelColumn
from app.desktop.panels.measure.result_column import lay_out_results
from app.desktop.panels.measure.sentences import Sentences
from app.desktop.presenters.ladder import LadderState

_GAP = 8


class LadderResults(QWidget):
    """Paints the facts and sentences of a LadderState."""

    def __init__(self, actions: Actions, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self._head = SectionHead("Over level")
        self.facts = FactsTable("Over level")
        self.facts.setSizePolicy(QSizePolicy.Policy.Ignored, QSizePolicy.Policy.Fixed)
        self.said = Sentences()
        self.column = PanelColumn(spacing=_GAP)
        for part in (self._head, self.facts, self.said):
            self.column.lines.addWidget(part)
        self.column.lines.addStretch(1)
        lay_out_results(self, column=self.column, actions=actions)

    def set_state(self, state: LadderState) -> None:
        """Show another ladder."""
        self._head.set_fact(state.told)
        self.facts.set_facts(state.facts)
        self.facts.setFixedHeight(self.facts.sizeHint().height())
        self.said.say(state.said)
        self.column.fit()
