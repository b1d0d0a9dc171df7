"""The air in which it is measured, as somebody read it."""

from collections.abc import Sequence

from PySide6.QtCore import Signal
from PySide6.QtWidgets import QVBoxLayout, QWidget

from app.desktop.controls.section_head import SectionHead
from app.desktop.panels.chain.key_field import KeyField
from app.desktop.presenters.chain_link import LinkField
from app.desktop.presenters.chain_links import AMBIENT

_LABEL_PX = 76


class AmbientPanel(QWidget):
    """Three fields; ``typed`` (place, text) as theirs."""

    typed = Signal(object, str)

    def __init__(self, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self.fields = {spec.key: KeyField(spec, label_px=_LABEL_PX) for spec in AMBIENT}
        lines = QVBoxLayout(self)
        lines.setContentsMargins(0, 0, 0, 0)
        lines.setSpacing(0)
        lines.addWidget(SectionHead("Ambient"))
        for field in self.fields.values():
            field.typed.connect(self.typed)
            lines.addWidget(field)

    def set_fields(self, fields: Sequence[LinkField]) -> None:
        """Show other values."""
        for field in fields:
            self.fields[field.spec.key].set_field(field)
