"""What inspection found of the units shown: good or bad, by whom, and how it was found."""

from PySide6.QtCore import Signal
from PySide6.QtWidgets import QHBoxLayout, QSizePolicy, QVBoxLayout, QWidget

from app.desktop.actions import Actions
from app.desktop.controls.field import Field
from app.desktop.controls.field_row import FieldRow
from app.desktop.controls.key_button import KeyButton
from app.desktop.controls.section_head import SectionHead
from app.desktop.presenters.limits_inspection import Inspected

_LABEL = 60


class InspectionPanel(QWidget):
    """Shown while there is a unit to mark; ``found`` carries good or bad, who, and why."""

    found = Signal(str, str, str)

    def __init__(self, actions: Actions, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self._head = SectionHead("Inspection")
        self.by = Field("By", numeric=False, placeholder="your name")
        self.why = Field("Found", numeric=False, placeholder="heard a rattle")
        buttons = QHBoxLayout()
        buttons.setContentsMargins(0, 4, 0, 0)
        buttons.setSpacing(8)
        buttons.addWidget(KeyButton(actions.of("mark_good"), text="Good"))
        buttons.addWidget(KeyButton(actions.of("mark_bad"), text="Bad"))
        buttons.addStretch(1)
        lines = QVBoxLayout(self)
        lines.setContentsMargins(0, 0, 0, 0)
        lines.setSpacing(0)
        lines.addWidget(self._head)
        lines.addWidget(FieldRow("By", self.by, label_px=_LABEL))
        lines.addWidget(FieldRow("Found", self.why, label_px=_LABEL))
        lines.addLayout(buttons)
        self.setSizePolicy(QSizePolicy.Policy.Preferred, QSizePolicy.Policy.Maximum)
        self.hide()

    def set_state(self, state: Inspected | None) -> None:
        """Show another unit; None: none is drawn."""
        self.setVisible(state is not None)
        if state is not None:
            self._head.set_title(state.title)
            self._head.set_fact(state.fact)

    def ask(self, mark: str) -> None:
        """Tell what was found, or ask for what is missing."""
        if self.isHidden():
            return
        for field, what in ((self.by, "a name"), (self.why, "what was found")):
            if not field.text().strip():
                field.refuse(f"Missing: {what}.")
                field.setFocus()
                return
            field.accept()
        self.found.emit(mark, self.by.text().strip(), self.why.text().strip())
