"""What lies on the bench: serial and lot."""

from PySide6.QtCore import Signal
from PySide6.QtWidgets import QHBoxLayout, QVBoxLayout, QWidget

from app.desktop.controls.field import Field
from app.desktop.controls.field_row import FieldRow

_LABEL, _LOT = 40, 72


class Specimen(QWidget):
    """Two fields in one row; ``changed`` (serial, lot) tells what was typed, empty for none."""

    changed = Signal(str, str)

    def __init__(self, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self.serial = Field("Serial of the unit", placeholder="serial", numeric=False)
        self.lot = Field("Lot", placeholder="lot", numeric=False)
        self.lot.setFixedWidth(_LOT)
        pair = QWidget()
        line = QHBoxLayout(pair)
        line.setContentsMargins(0, 0, 0, 0)
        line.setSpacing(6)
        line.addWidget(self.serial, 1)
        line.addWidget(self.lot)
        lines = QVBoxLayout(self)
        lines.setContentsMargins(0, 0, 0, 0)
        lines.addWidget(FieldRow("Unit", pair, label_px=_LABEL))
        for field in (self.serial, self.lot):
            field.committed.connect(self._tell)

    def set_specimen(self, *, unit: str | None, lot: str | None) -> None:
        """Show what lies there."""
        for field, text in ((self.serial, unit or ""), (self.lot, lot or "")):
            if field.text() != text:
                field.set_text(text)

    def _tell(self) -> None:
        self.changed.emit(self.serial.text().strip(), self.lot.text().strip())
