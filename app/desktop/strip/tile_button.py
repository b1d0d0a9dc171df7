"""What lies over a painted tile, so that it can be pressed, reached by Tab, and read aloud."""

from PySide6.QtCore import Qt
from PySide6.QtGui import QColor, QPainter, QPaintEvent, QPen
from PySide6.QtWidgets import QAbstractButton, QWidget

from app.desktop.palette import tokens_of


class TileButton(QAbstractButton):
    """Transparent but for the ring that shows where the keyboard is."""

    def __init__(self, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self.setFocusPolicy(Qt.FocusPolicy.TabFocus)
        self.setCursor(Qt.CursorShape.PointingHandCursor)

    def paintEvent(self, event: QPaintEvent) -> None:  # noqa: ARG002
        """Paint the ring, where there is one."""
        if self.hasFocus():
            painter = QPainter(self)
            painter.setPen(QPen(QColor(tokens_of(self).focus), 2))
            painter.drawRect(self.rect().adjusted(1, 1, -1, -1))
