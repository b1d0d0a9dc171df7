"""The right column of the parameters: figures, model, classic method, what speaks against them."""

from PySide6.QtCore import QSignalBlocker
from PySide6.QtWidgets import QHBoxLayout, QSizePolicy, QVBoxLayout, QWidget

from app.desktop.actions import Actions
from app.desktop.controls.facts_table import FactsTable
from app.desktop.controls.fold_row import FoldRow
from app.desktop.controls.key_button import KeyButton
from app.desktop.controls.prose import Prose
from app.desktop.controls.section_head import SectionHead
from app.desktop.panels.measure.panel_column import PanelColumn
from app.desktop.panels.measure.sentences import Sentences
from app.desktop.presenters.figures import Fact
from app.desktop.presenters.parameters_card import CardState

_GAP = 6
_BUTTONS = ("copy", "correlation")


class _CardColumn(PanelColumn):
    """Rows of figures close up before anything scrolls."""

    def __init__(self, facts: FactsTable) -> None:
        super().__init__()
        self._facts = facts

    def fit(self) -> None:
        """Give the figures as much of their height as there is."""
        whole, least = self._facts.sizeHint().height(), self._facts.minimumSizeHint().height()
        self._facts.setFixedHeight(whole)
        over = self.wanted() - self.height()
        if over > 0:
            self._facts.setFixedHeight(max(least, whole - over))
        super().fit()


class ParameterCard(QWidget):
    """Paints a CardState."""

    def __init__(self, actions: Actions, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self._head = SectionHead("Parameters")
        self.facts = FactsTable("Parameters")
        self.model = Prose()
        self.classic = FactsTable("Classic method")
        self.classic.setSizePolicy(QSizePolicy.Policy.Ignored, QSizePolicy.Policy.Fixed)
        self.classic_fold = FoldRow("Classic method", self.classic)
        self.draws = FactsTable("Monte Carlo", words=True)
        self.draws.setSizePolicy(QSizePolicy.Policy.Ignored, QSizePolicy.Policy.Fixed)
        self.draws_fold = FoldRow("Monte Carlo", self.draws)
        self.draws_fold.set_fact("on demand (M)")
        self.draws_fold.toggled.connect(lambda _: actions.of("monte_carlo").trigger())
        self._doubts_head = SectionHead("Doubts")
        self.doubts = Sentences()
        column = _CardColumn(self.facts)
        folds = (self.classic_fold, self.classic, self.draws_fold, self.draws)
        self._model_fold = FoldRow("Model", self.model)
        sections: tuple[tuple[QWidget, ...], ...] = (
            (self._head, self.facts),
            (self._doubts_head, self.doubts),
            (self._model_fold, self.model, *folds),
        )
        for section in sections:
            for part in section:
                column.lines.addWidget(part)
            column.lines.addSpacing(_GAP)
        column.lines.addStretch(1)
        self.column = column
        lines = QVBoxLayout(self)
        lines.setContentsMargins(0, 0, 0, 0)
        lines.setSpacing(_GAP)
        lines.addWidget(column, 1)
        lines.addLayout(_row(actions))

    def set_state(self, state: CardState) -> None:
        """Show other figures."""
        self._head.set_fact(state.told)
        self.facts.set_facts(state.facts)
        self.classic.set_facts(state.classic)
        self.classic.setFixedHeight(self.classic.sizeHint().height())
        self.classic_fold.set_fact(state.classic_told)
        self.classic_fold.setVisible(bool(state.classic))
        self.classic.setVisible(bool(state.classic) and self.classic_fold.isChecked())
        self.model.set_text(state.model)
        self._model_fold.set_fact(state.model_told)
        self._model_fold.setVisible(bool(state.model))
        self.model.setVisible(bool(state.model) and self._model_fold.isChecked())
        self._doubts_head.set_fact(state.said_told)
        self.doubts.say(state.said)
        self.column.fit()

    def set_draws(self, facts: tuple[Fact, ...]) -> None:
        """Show intervals that draws gave; none folds their place."""
        self.draws.set_facts(facts)
        self.draws.setFixedHeight(self.draws.sizeHint().height())
        with QSignalBlocker(self.draws_fold):
            self.draws_fold.setChecked(bool(facts))
        self.draws.setVisible(bool(facts))
        self.draws_fold.update()

    def set_stale(self, *, stale: bool) -> None:
        """Show the figures in the third ink while newer ones are on their way."""
        self.facts.set_stale(stale=stale)


def _row(actions: Actions) -> QHBoxLayout:
    line = QHBoxLayout()
    line.setSpacing(_GAP)
    for action_id in _BUTTONS:
        line.addWidget(KeyButton(actions.of(action_id)))
    line.addStretch(1)
    return line
