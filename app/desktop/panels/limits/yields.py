"""Yield by the limits in force and by the draft, side by side."""

from PySide6.QtWidgets import QGridLayout, QSizePolicy, QVBoxLayout, QWidget

from app.desktop.controls.section_head import SectionHead
from app.desktop.controls.words import Ink, Words
from app.desktop.presenters.limits_trial import TrialState

_BIG = 26


class Yields(QWidget):
    """Two shares, 26 px: what is, quiet; what would be, bold."""

    def __init__(self, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self._head = SectionHead("Yield")
        self.now_name, self.draft_name = Words(ink=Ink.LABEL, px=12), Words(ink=Ink.LABEL, px=12)
        self.now, self.draft = Words(ink=Ink.QUIET, px=_BIG), Words(px=_BIG, bold=True)
        grid = QGridLayout()
        grid.setContentsMargins(0, 2, 0, 4)
        grid.setHorizontalSpacing(0)
        grid.setVerticalSpacing(0)
        for column, (name, value) in enumerate(
            ((self.now_name, self.now), (self.draft_name, self.draft))
        ):
            grid.addWidget(name, 0, column)
            grid.addWidget(value, 1, column)
            grid.setColumnStretch(column, 1)
        lines = QVBoxLayout(self)
        lines.setContentsMargins(0, 0, 0, 0)
        lines.setSpacing(0)
        lines.addWidget(self._head)
        lines.addLayout(grid)
        self.setSizePolicy(QSizePolicy.Policy.Ignored, QSizePolicy.Policy.Fixed)

    def set_state(self, state: TrialState) -> None:
        """Show other yields."""
        self._head.set_fact(state.fact)
        for words, text, name in (
            (self.now, state.now, state.now_name),
            (self.draft, state.draft, state.draft_name),
        ):
            words.set_text(text)
            words.setAccessibleName(f"Yield, {name}: {text}")
        self.now_name.set_text(state.now_name)
        self.draft_name.set_text(state.draft_name)
