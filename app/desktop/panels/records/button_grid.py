"""Buttons side by side as far as the column is wide."""

from collections.abc import Sequence

from PySide6.QtCore import QRect, QSize
from PySide6.QtGui import QResizeEvent
from PySide6.QtWidgets import QSizePolicy, QWidget

from app.desktop.controls.key_button import KeyButton

_GAP = 8


class ButtonGrid(QWidget):
    """Lays buttons in rows, each at its own width, as words in a paragraph."""

    def __init__(self, buttons: Sequence[KeyButton], parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self.buttons = tuple(buttons)
        for button in self.buttons:
            button.setParent(self)
        policy = QSizePolicy(QSizePolicy.Policy.Ignored, QSizePolicy.Policy.Minimum)
        policy.setHeightForWidth(True)
        self.setSizePolicy(policy)

    def hasHeightForWidth(self) -> bool:
        """Tell that a narrow column needs more rows."""
        return True

    def heightForWidth(self, width: int) -> int:
        """Return the height of all rows."""
        boxes = self._boxes(width)
        return max((box.bottom() + 1 for box in boxes), default=0)

    def sizeHint(self) -> QSize:
        """Return one row of them."""
        return QSize(200, max(button.sizeHint().height() for button in self.buttons))

    def resizeEvent(self, event: QResizeEvent) -> None:
        """Put every button in its place."""
        super().resizeEvent(event)
        for button, box in zip(self.buttons, self._boxes(self.width()), strict=True):
            button.setGeometry(box)

    def _boxes(self, width: int) -> list[QRect]:
        boxes: list[QRect] = []
        left = top = row = 0
        for button in self.buttons:
            size = button.sizeHint()
            if left and left + size.width() > width:
                left, top, row = 0, top + row + _GAP, 0
            boxes.append(QRect(left, top, size.width(), size.height()))
            left, row = left + size.width() + _GAP, max(row, size.height())
        return boxes
