"""The right column of a proof: the caution first, what it is held against, its interval, keys."""

from collections.abc import Sequence

from PySide6.QtCore import Qt
from PySide6.QtWidgets import QHBoxLayout, QVBoxLayout, QWidget

from app.desktop.actions import Actions
from app.desktop.controls.facts_table import FactsTable
from app.desktop.controls.glyph import Glyph
from app.desktop.controls.key_button import KeyButton
from app.desktop.controls.prose import Prose
from app.desktop.controls.section_head import SectionHead
from app.desktop.controls.words import Words
from app.desktop.panels.calibration.sheet import SheetBudget
from app.desktop.presenters.calibration_sheet import FoundState
from app.desktop.presenters.figures import Fact
from app.desktop.presenters.mark import Mark

_GLYPH = 14
_GAP = 8


class ProveFollows(QWidget):
    """Paints what can hurt and what follows; its buttons play, repeat and leave."""

    def __init__(self, actions: Actions, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self.caution, self.keeps = Words(wraps=True), Prose()
        self.against, self.budget = FactsTable("Against what is known"), SheetBudget()
        self._against_head = SectionHead("Against")
        self.play = KeyButton(actions.of("play_probe"))
        self.again = KeyButton(actions.of("again"))
        self.leave = KeyButton(actions.of("leave_calibration"), key="Esc")
        lines = QVBoxLayout(self)
        lines.setContentsMargins(0, 0, 0, 0)
        lines.setSpacing(_GAP)
        lines.addWidget(SectionHead("Before it plays"))
        lines.addLayout(_marked(Glyph(Mark.CAUTION, size=_GLYPH), self.caution))
        keys = QHBoxLayout()
        keys.setSpacing(8)
        keys.addWidget(self.play)
        keys.addWidget(self.again)
        keys.addStretch(1)
        lines.addLayout(keys)
        lines.addWidget(self._against_head)
        lines.addWidget(self.against)
        lines.addWidget(self.budget)
        lines.addStretch(1)
        lines.addLayout(_marked(Glyph(Mark.INFO, size=_GLYPH), self.keeps))
        lines.addWidget(self.leave)

    def set_found(self, found: FoundState | None, against: Sequence[Fact] = ()) -> None:
        """Show what a result stands on; None while there is none."""
        self.budget.set_found(found)
        self.budget.setVisible(found is not None)
        self.against.set_facts(against)
        for widget in (self.against, self._against_head):
            widget.setVisible(bool(against))


def _marked(mark: Glyph, words: QWidget) -> QHBoxLayout:
    line = QHBoxLayout()
    line.setSpacing(8)
    line.addWidget(mark, 0, Qt.AlignmentFlag.AlignTop)
    line.addWidget(words, 1)
    return line
