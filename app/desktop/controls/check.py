"""Yes or no."""

from PySide6.QtGui import QPalette
from PySide6.QtWidgets import QCheckBox, QWidget

from app.desktop.controls.field import HEIGHT
from app.desktop.fonts import font


class Check(QCheckBox):
    """A tick with its words; ``toggled`` (bool) tells of every change."""

    def __init__(self, text: str, *, checked: bool = False, parent: QWidget | None = None) -> None:
        super().__init__(text, parent)
        self.setFont(font(13))
        self.setForegroundRole(QPalette.ColorRole.WindowText)
        self.setMinimumHeight(HEIGHT)
        self.setChecked(checked)
        self.setAccessibleName(text)
