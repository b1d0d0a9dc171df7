"""The right column of a merge: in figures what was merged, what ends it below, what to doubt."""

from PySide6.QtWidgets import QSizePolicy, QWidget

from app.desktop.actions import Actions
from app.desktop.controls.facts_table import FactsTable
from app.desktop.controls.fold_row import FoldRow
from app.desktop.controls.lines_table import Column, LineRow, LinesTable
from app.desktop.controls.section_head import SectionHead
from app.desktop.panels.measure.panel_column import PanelColumn
from app.desktop.panels.measure.result_column import lay_out_results
from app.desktop.panels.measure.sentences import Sentences
from app.desktop.presenters.mark import Mark
from app.desktop.presenters.merge_card import EndRow, MergeCard

_GAP = 8
_COLUMNS = (
    Column(title="ended by"),
    Column(title="near field", width=78, align="right"),
    Column(title="far field", width=74, align="right"),
)


class MergeResults(QWidget):
    """Paints a MergeCard."""

    def __init__(self, actions: Actions, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self._head = SectionHead("Merged")
        self.facts = FactsTable("Merged")
        self._ends_head = SectionHead("Lowest valid")
        self.ends = LinesTable(_COLUMNS, name="Lowest valid frequency")
        self._doubts_head = SectionHead("Doubts")
        self.doubts = Sentences()
        self.column = PanelColumn()
        lines = self.column.lines
        self.scaling = FactsTable("Scaling of the near field")
        self.scaling_fold = FoldRow("Scaling", self.scaling)
        for table in (self.facts, self.ends, self.scaling):
            table.setSizePolicy(QSizePolicy.Policy.Ignored, QSizePolicy.Policy.Fixed)
        for section in (
            (self._head, self.facts),
            (self._doubts_head, self.doubts),
            (self._ends_head, self.ends),
            (self.scaling_fold, self.scaling),
        ):
            for part in section:
                lines.addWidget(part)
            lines.addSpacing(_GAP)
        lines.addStretch(1)
        lay_out_results(self, column=self.column, actions=actions)

    @property
    def card(self) -> MergeCard:
        """What it shows."""
        return self._card

    def set_card(self, card: MergeCard) -> None:
        """Show another merge."""
        self._card = card
        self._head.set_fact(card.told)
        self.facts.set_facts(card.facts)
        self.facts.setFixedHeight(self.facts.sizeHint().height())
        self._ends_head.set_fact(card.ends_told)
        self.ends.set_rows([_row(end) for end in card.ends])
        self.ends.setFixedHeight(self.ends.sizeHint().height())
        self.scaling.set_facts(card.scaling)
        self.scaling.setFixedHeight(self.scaling.sizeHint().height())
        self.scaling_fold.set_fact(card.scaling_told)
        self.scaling.setVisible(bool(card.scaling) and self.scaling_fold.isChecked())
        for part in (self.facts, self._ends_head, self.ends, self.scaling_fold):
            part.setVisible(bool(card.facts))
        self._doubts_head.set_fact(card.doubts_told)
        self._doubts_head.setVisible(bool(card.facts))
        self.doubts.say(card.doubts)
        self.column.fit()


def _row(end: EndRow) -> LineRow:
    return LineRow(
        cells=(end.reason, end.near, end.far),
        key=end.reason,
        mark=Mark.INFO if end.counts else None,
        note="the strictest of its field" if end.counts else "",
    )
