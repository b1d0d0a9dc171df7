"""A line or a paragraph in one of the inks."""

from enum import Enum

from PySide6.QtCore import Qt
from PySide6.QtGui import QPalette, QShowEvent
from PySide6.QtWidgets import QLabel, QSizePolicy, QWidget

from app.desktop.fonts import font
from app.desktop.told import told


class Ink(Enum):
    """Ink of words; the palette's roles follow the theme by themselves."""

    PLAIN = QPalette.ColorRole.WindowText
    LABEL = QPalette.ColorRole.LinkVisited  # ink2
    QUIET = QPalette.ColorRole.PlaceholderText  # ink3
    BAD = QPalette.ColorRole.BrightText


class Words(QLabel):
    """Plain text, never markup: what a file or a person named is shown as it is."""

    def __init__(
        self,
        text: str = "",
        *,
        ink: Ink = Ink.PLAIN,
        px: float = 13,
        bold: bool = False,
        wraps: bool = False,
        parent: QWidget | None = None,
    ) -> None:
        self._plain = text
        super().__init__(parent)
        self.setTextFormat(Qt.TextFormat.PlainText)
        self.setText(text)
        self.setFont(font(px, bold=bold))
        self.setForegroundRole(ink.value)
        self.setWordWrap(wraps)
        if wraps:
            self.setAlignment(Qt.AlignmentFlag.AlignLeft | Qt.AlignmentFlag.AlignTop)
            policy = QSizePolicy(QSizePolicy.Policy.Ignored, QSizePolicy.Policy.Minimum)
            policy.setHeightForWidth(True)
            self.setSizePolicy(policy)

    def set_text(self, text: str) -> None:
        """Say something else."""
        self.setText(text)

    def setText(self, text: str) -> None:
        """Say something else; keys that it names are a person's own."""
        self._plain = text
        super().setText(told(self, text))

    def retell(self) -> None:
        """Say the same: a key that it names may be another one by now."""
        if (text := told(self, self._plain)) != self.text():
            super().setText(text)

    def showEvent(self, event: QShowEvent) -> None:
        """Name the keys of the window that it has come to."""
        self.retell()
        super().showEvent(event)

    def set_ink(self, ink: Ink) -> None:
        """Say it in another ink."""
        self.setForegroundRole(ink.value)
