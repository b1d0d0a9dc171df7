"""A column of fields: Enter and Esc hand the keyboard back, so that single keys act again."""

from PySide6.QtCore import Qt, Signal
from PySide6.QtGui import QKeyEvent
from PySide6.QtWidgets import QApplication

from app.desktop.controls.field import Field
from app.desktop.panels.measure.panel_column import PanelColumn


class FieldColumn(PanelColumn):
    """Panels with fields.

    ``done`` tells that a field was filled in with Enter, so that single keys may act again;
    ``given_up`` that what was typed into it shall not count.
    """

    done = Signal()
    given_up = Signal()

    def keyPressEvent(self, event: QKeyEvent) -> None:
        """Hand the keyboard back after Enter, unless what was typed was refused, and after Esc."""
        focused = QApplication.focusWidget()
        field = focused.parent() if focused is not None else None
        if event.key() in {Qt.Key.Key_Return, Qt.Key.Key_Enter}:
            if not (isinstance(field, Field) and field.is_refused):
                self.done.emit()
        elif event.key() == Qt.Key.Key_Escape and isinstance(field, Field):
            field.box.setModified(False)  # what stands in the procedure may come back
            self.given_up.emit()
            self.done.emit()
        else:
            super().keyPressEvent(event)
