"""A thin line between sections."""

from PySide6.QtGui import QColor, QPainter, QPaintEvent
from PySide6.QtWidgets import QSizePolicy, QWidget

from app.desktop.palette import tokens_of


class Rule(QWidget):
    """1 px, as the head of a section has it."""

    def __init__(self, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self.setFixedHeight(1)
        self.setSizePolicy(QSizePolicy.Policy.Ignored, QSizePolicy.Policy.Fixed)

    def paintEvent(self, event: QPaintEvent) -> None:  # noqa: ARG002
        """Paint it."""
        QPainter(self).fillRect(self.rect(), QColor(tokens_of(self).edge))
