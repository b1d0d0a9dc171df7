"""Sentences one beneath the other, each with its mark."""

from collections.abc import Sequence

from PySide6.QtCore import Qt
from PySide6.QtWidgets import QHBoxLayout, QSizePolicy, QVBoxLayout, QWidget

from app.desktop.controls.glyph import Glyph
from app.desktop.controls.prose import Prose
from app.desktop.presenters.measure_warnings import Said

_GLYPH = 14
_ROOM = 22


class Sentences(QWidget):
    """Prose of 12 px; a mark stands before the first line of what it belongs to."""

    def __init__(self, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self._said: tuple[Said, ...] = ()
        self._lines = QVBoxLayout(self)
        self._lines.setContentsMargins(0, 0, 0, 0)
        self._lines.setSpacing(6)
        self.setSizePolicy(QSizePolicy.Policy.Ignored, QSizePolicy.Policy.Minimum)

    @property
    def said(self) -> tuple[Said, ...]:
        """What it says."""
        return self._said

    def say(self, said: Sequence[Said]) -> None:
        """Say something else."""
        if tuple(said) == self._said:
            return
        self._said = tuple(said)
        while (item := self._lines.takeAt(0)) is not None:
            if (widget := item.widget()) is not None:
                widget.hide()
                widget.deleteLater()
        for one in self._said:
            self._lines.addWidget(_line(one))
        self.setAccessibleName(" ".join(one.sentence for one in self._said))


def _line(one: Said) -> QWidget:
    prose = Prose(one.sentence)
    if one.mark is None:
        return prose
    row = QWidget()
    line = QHBoxLayout(row)
    line.setContentsMargins(0, 0, 0, 0)
    line.setSpacing(_ROOM - _GLYPH)
    line.addWidget(Glyph(one.mark, size=_GLYPH), 0, Qt.AlignmentFlag.AlignTop)
    line.addWidget(prose, 1)
    return row
