"""The head of a section with something to choose, or a small picture, where its fact stands."""

from PySide6.QtCore import Qt
from PySide6.QtWidgets import QHBoxLayout, QSizePolicy, QWidget

from app.desktop.controls.section_head import SectionHead

_HEIGHT = 32


class Headed(QWidget):
    """A section's head, 28 px, and at its right a widget instead of words."""

    def __init__(self, title: str, beside: QWidget, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self.head = SectionHead(title)
        self.beside = beside
        beside.setParent(self)
        self.head.setParent(self)
        self.head.lower()
        line = QHBoxLayout(self)
        line.setContentsMargins(0, 3, 0, 1)
        line.addStretch(1)
        line.addWidget(beside, 0, Qt.AlignmentFlag.AlignVCenter)
        self.setFixedHeight(_HEIGHT)
        self.setSizePolicy(QSizePolicy.Policy.Ignored, QSizePolicy.Policy.Fixed)

    def resizeEvent(self, event: object) -> None:  # noqa: ARG002
        """Let the rule run over the whole width."""
        self.head.setGeometry(0, 0, self.width(), self.height())
