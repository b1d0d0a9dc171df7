"""The right column of a calibration: what it is held against, and where its interval comes from."""

from PySide6.QtCore import Qt
from PySide6.QtWidgets import QHBoxLayout, QVBoxLayout, QWidget

from app.desktop.actions import Actions
from app.desktop.controls.facts_table import FactsTable
from app.desktop.controls.glyph import Glyph
from app.desktop.controls.key_button import KeyButton
from app.desktop.controls.prose import Prose
from app.desktop.controls.section_head import SectionHead
from app.desktop.controls.words import Words
from app.desktop.presenters.calibrate_result import ResultState
from app.desktop.presenters.mark import Mark

_GLYPH = 14
_GAP = 8


class CalibrateFollows(QWidget):
    """Paints a ResultState; its buttons repeat, keep and leave."""

    def __init__(self, actions: Actions, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self.against = FactsTable("Against what is known")
        self.budget_head = SectionHead("Interval, by source")
        self.budget = FactsTable("Interval by source")
        self._mark, self.words = Glyph(size=_GLYPH), Words(wraps=True)
        self.keeps = Prose()
        self.again = KeyButton(actions.of("again"))
        self.leave = KeyButton(actions.of("leave_calibration"), key="Esc")
        lines = QVBoxLayout(self)
        lines.setContentsMargins(0, 0, 0, 0)
        lines.setSpacing(_GAP)
        lines.addLayout(_stacked(SectionHead("Against"), self.against))
        lines.addLayout(_stacked(self.budget_head, self.budget))
        lines.addLayout(_marked(self._mark, self.words))
        lines.addWidget(self.again)
        lines.addStretch(1)
        lines.addLayout(_marked(Glyph(Mark.INFO, size=_GLYPH), self.keeps))
        lines.addWidget(self.leave)

    def set_words(self, mark: Mark, words: str) -> None:
        """Say how far it is."""
        self._mark.set_mark(mark)
        self.words.set_text(words)

    def set_result(self, state: ResultState | None) -> None:
        """Show what a result is held against; None while there is none."""
        self.against.set_facts(() if state is None else state.against)
        self.budget.set_facts(() if state is None else state.budget)
        self.budget_head.set_fact("dB" if state is None else state.coverage)
        if state is not None:
            self.set_words(Mark.GOOD if state.accepted else Mark.BAD, state.words)


def _stacked(*widgets: QWidget) -> QVBoxLayout:
    lines = QVBoxLayout()
    lines.setSpacing(0)
    for widget in widgets:
        lines.addWidget(widget)
    return lines


def _marked(mark: Glyph, words: QWidget) -> QHBoxLayout:
    line = QHBoxLayout()
    line.setSpacing(8)
    line.addWidget(mark, 0, Qt.AlignmentFlag.AlignTop)
    line.addWidget(words, 1)
    return line
