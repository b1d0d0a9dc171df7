"""The right column of a box: what it is, what it gives, what the power does, what is left out."""

from PySide6.QtWidgets import QSizePolicy, QWidget

from app.desktop.actions import Actions
from app.desktop.controls.facts_table import FactsTable
from app.desktop.controls.fold_row import FoldRow
from app.desktop.controls.section_head import SectionHead
from app.desktop.panels.measure.panel_column import PanelColumn
from app.desktop.panels.measure.result_column import lay_out_results
from app.desktop.panels.measure.sentences import Sentences
from app.desktop.presenters.box_design import BoxCard

_GAP = 8


class BoxResults(QWidget):
    """Paints a BoxCard."""

    def __init__(self, actions: Actions, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self._power_head = SectionHead("At the chosen power")
        self.box, self.response, self.at_power = (
            FactsTable(name) for name in ("Box", "Response", "At the chosen power")
        )
        self._tables = (self.box, self.response, self.at_power)
        self.said, self.limits = Sentences(), Sentences()
        self.said.setContentsMargins(0, 0, 0, _GAP)
        self.limits_fold = FoldRow("Limits of the model", self.limits)
        self.column = PanelColumn()
        lines = self.column.lines
        lines.addWidget(self.said)
        self._heads = (SectionHead("Box"), SectionHead("Response", "k = 2"), self._power_head)
        for head, table in zip(self._heads, self._tables, strict=True):
            table.setSizePolicy(QSizePolicy.Policy.Ignored, QSizePolicy.Policy.Fixed)
            lines.addWidget(head)
            lines.addWidget(table)
            lines.addSpacing(_GAP)
        lines.addWidget(self.limits_fold)
        lines.addWidget(self.limits)
        lines.addStretch(1)
        lay_out_results(self, column=self.column, actions=actions)

    def set_card(self, card: BoxCard) -> None:
        """Show another box."""
        self.said.say(card.said)
        self.said.setVisible(bool(card.said))
        self._power_head.set_fact(card.power_told)
        shown = (card.box, card.response, card.at_power)
        for head, table, facts in zip(self._heads, self._tables, shown, strict=True):
            table.set_facts(facts)
            table.setFixedHeight(table.sizeHint().height())
            for part in (head, table):
                part.setVisible(bool(facts))
        self.limits.say(card.limits)
        self.limits_fold.set_fact(f"{len(card.limits)}")
        self.limits_fold.setVisible(bool(card.limits))
        self.limits.setVisible(bool(card.limits) and self.limits_fold.isChecked())
        self.column.fit()
