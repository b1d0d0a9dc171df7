"""The right column of the Line bay: serial, lot, counts, reference unit, export, why."""

from PySide6.QtCore import Qt
from PySide6.QtWidgets import QHBoxLayout, QVBoxLayout, QWidget

from app.desktop.controls.field import Field
from app.desktop.controls.field_row import FieldRow
from app.desktop.controls.glyph import Glyph
from app.desktop.controls.prose import Prose
from app.desktop.controls.rule import Rule
from app.desktop.controls.section_head import SectionHead
from app.desktop.panels.line.counts_table import CountsTable
from app.desktop.panels.line.export_row import ExportRow
from app.desktop.panels.line.serial_field import SerialField
from app.desktop.panels.line.why import Why
from app.desktop.presenters.line_side import ReferenceState

_LABEL = 40


class Side(QWidget):
    """Holds what the bay fills; knows nothing itself."""

    def __init__(self, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self.serial = SerialField()
        self.lot = Field("Lot", numeric=False, placeholder="none")
        self.counts = CountsTable()
        self.reference = _Reference()
        self.export = ExportRow()
        self.why = Why()
        lines = QVBoxLayout(self)
        lines.setContentsMargins(0, 0, 0, 0)
        lines.setSpacing(0)
        lines.addWidget(SectionHead("Serial", "scan or type", ruled=False))
        lines.addWidget(self.serial)
        lines.addSpacing(4)
        lines.addWidget(FieldRow("Lot", self.lot, label_px=_LABEL))
        lines.addSpacing(6)
        lines.addWidget(self.counts)
        lines.addWidget(self.reference)
        lines.addWidget(Rule())
        lines.addWidget(self.export)
        lines.addWidget(Rule())
        lines.addWidget(self.why, 1)


class _Reference(QWidget):
    """The reference unit; away where no mask counts from it."""

    def __init__(self) -> None:
        super().__init__()
        self._head = SectionHead("Reference unit")
        self._glyph = Glyph(size=16)
        self._words = Prose()
        line = QHBoxLayout()
        line.setContentsMargins(0, 4, 0, 8)
        line.setSpacing(6)
        line.addWidget(self._glyph, 0, Qt.AlignmentFlag.AlignTop)
        line.addWidget(self._words, 1)
        lines = QVBoxLayout(self)
        lines.setContentsMargins(0, 6, 0, 0)
        lines.setSpacing(0)
        lines.addWidget(self._head)
        lines.addLayout(line)
        self.hide()

    def set_state(self, state: ReferenceState) -> None:
        """Show another reference unit."""
        self._head.set_fact(state.unit)
        self._glyph.set_mark(state.mark)
        self._words.set_text(state.sentence)
        self.setVisible(state.needed)
