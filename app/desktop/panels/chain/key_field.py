"""A field for one key of the chain file."""

from PySide6.QtCore import Signal
from PySide6.QtWidgets import QWidget

from app.desktop.controls.field import Field
from app.desktop.controls.field_row import FieldRow
from app.desktop.presenters.chain_link import LinkField
from app.desktop.presenters.chain_links import KeySpec

_LABEL_PX = 84
_WORDS = frozenset({"name", "response", "calibrated_on"})  # begin at the left


class KeyField(FieldRow):
    """Shows a LinkField; ``typed`` (the key's place, the text) comes when it is committed."""

    typed = Signal(object, str)

    def __init__(
        self, spec: KeySpec, *, label_px: int = _LABEL_PX, parent: QWidget | None = None
    ) -> None:
        self.spec = spec
        self.editor = Field(
            spec.label, unit=spec.unit, numeric=spec.place[-1] not in _WORDS, step=spec.step
        )
        super().__init__(spec.label, self.editor, label_px=label_px, parent=parent)
        self.editor.committed.connect(self._tell)

    def set_field(self, field: LinkField) -> None:
        """Show another value, or why the one that was typed is not taken."""
        self.editor.box.setPlaceholderText(field.placeholder)
        if self.editor.text() != field.text or not field.refusal:
            self.editor.set_text(field.text)
        if field.refusal:
            self.editor.refuse(field.refusal)

    def _tell(self, text: str) -> None:
        self.typed.emit(self.spec.place, text)
