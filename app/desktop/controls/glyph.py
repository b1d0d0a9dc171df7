"""A mark that stands alone, or before words."""

from PySide6.QtCore import QRectF, QSize
from PySide6.QtGui import QPainter, QPaintEvent
from PySide6.QtWidgets import QWidget

from app.desktop import glyphs
from app.desktop.palette import tokens_of
from app.desktop.presenters.mark import Mark


class Glyph(QWidget):
    """One mark, ``size`` px high and wide; None leaves its place empty."""

    def __init__(
        self, mark: Mark | None = None, *, size: int = 16, parent: QWidget | None = None
    ) -> None:
        super().__init__(parent)
        self._mark: Mark | None = None
        self._size = size
        self.setFixedSize(QSize(size, size))
        self.set_mark(mark)

    def set_mark(self, mark: Mark | None) -> None:
        """Show another mark."""
        self._mark = mark
        self.setAccessibleName(mark.value if mark else "")
        self.update()

    def paintEvent(self, event: QPaintEvent) -> None:  # noqa: ARG002
        """Paint the mark."""
        if self._mark is not None:
            painter = QPainter(self)
            glyphs.paint(
                painter, self._mark, QRectF(0, 0, self._size, self._size), tokens=tokens_of(self)
            )
