"""Names with words beside them that wrap: who, with what, in which air."""

from collections.abc import Sequence

from PySide6.QtCore import Qt
from PySide6.QtWidgets import QGridLayout, QWidget

from app.desktop.controls.words import Ink, Words

_NAME_PX = 72
_GAP_X, _GAP_Y = 10, 5


class FactLines(QWidget):
    """Paints pairs of words."""

    def __init__(self, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self.lines: tuple[tuple[str, str], ...] = ()
        self._grid = QGridLayout(self)
        self._grid.setContentsMargins(0, 2, 0, 2)
        self._grid.setHorizontalSpacing(_GAP_X)
        self._grid.setVerticalSpacing(_GAP_Y)
        self._grid.setColumnMinimumWidth(0, _NAME_PX)
        self._grid.setColumnStretch(1, 1)
        self._shown: list[QWidget] = []

    def set_lines(self, lines: Sequence[tuple[str, str]]) -> None:
        """Show others."""
        if tuple(lines) == self.lines:
            return
        self.lines = tuple(lines)
        for old in self._shown:
            self._grid.removeWidget(old)
            old.hide()
            old.deleteLater()
        self._shown = []
        for row, (name, words) in enumerate(lines):
            label, said = Words(name, ink=Ink.LABEL), Words(words, wraps=True)
            self._grid.addWidget(label, row, 0, Qt.AlignmentFlag.AlignTop)
            self._grid.addWidget(said, row, 1)
            self._shown += [label, said]
