"""A label with its field, 30 px."""

from PySide6.QtCore import Qt
from PySide6.QtWidgets import QHBoxLayout, QLabel, QSizePolicy, QWidget

from app.desktop.controls.words import Ink, Words

LABEL_PX = 76
_HEIGHT = 30
_LABEL_HEIGHT = 26


class FieldRow(QWidget):
    """Label left in the second ink, field right; grows only where the field says more."""

    def __init__(
        self,
        label: str,
        field: QWidget,
        *,
        label_px: int = LABEL_PX,
        parent: QWidget | None = None,
    ) -> None:
        super().__init__(parent)
        self.field = field
        self._label: QLabel = Words(label, ink=Ink.LABEL)
        self._label.setFixedSize(label_px, _LABEL_HEIGHT)
        self._label.setAlignment(Qt.AlignmentFlag.AlignLeft | Qt.AlignmentFlag.AlignVCenter)
        self._label.setBuddy(field)
        line = QHBoxLayout(self)
        line.setContentsMargins(0, 2, 0, 2)
        line.setSpacing(0)
        line.addWidget(self._label, 0, Qt.AlignmentFlag.AlignTop)
        line.addWidget(field, 1, Qt.AlignmentFlag.AlignTop)
        self.setMinimumHeight(_HEIGHT)
        self.setSizePolicy(QSizePolicy.Policy.Ignored, QSizePolicy.Policy.Fixed)

    def set_label(self, label: str) -> None:
        """Name the field otherwise."""
        self._label.setText(label)
