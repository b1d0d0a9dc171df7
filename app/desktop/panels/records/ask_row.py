"""A few fields in the column that ask for what an action still needs; no box in the way."""

from collections.abc import Sequence
from functools import partial

from PySide6.QtCore import Qt, Signal
from PySide6.QtGui import QAction, QKeyEvent
from PySide6.QtWidgets import QVBoxLayout, QWidget

from app.desktop.controls.field import Field
from app.desktop.controls.field_row import FieldRow
from app.desktop.controls.key_button import KeyButton
from app.desktop.controls.section_head import SectionHead
from app.desktop.panels.records.button_grid import ButtonGrid


class AskRow(QWidget):
    """Hidden until ``ask``; ``answered`` (texts) with Enter or its button, Esc lets it go.

    Parameters
    ----------
    title : str
        What is about to happen.
    fields : sequence of (name, placeholder)
        All must be filled.
    do : str
        On the button.
    more : sequence of KeyButton
        Others that help to answer.
    """

    answered = Signal(object)  # tuple of str
    shown = Signal(bool)

    def __init__(
        self,
        title: str,
        fields: Sequence[tuple[str, str]],
        *,
        do: str,
        more: Sequence[KeyButton] = (),
        parent: QWidget | None = None,
    ) -> None:
        super().__init__(parent)
        self._head = SectionHead(title)
        self.fields = [
            Field(name, numeric=False, placeholder=placeholder) for name, placeholder in fields
        ]
        self._do = QAction(do, self)
        self._do.triggered.connect(self._answer)
        self._leave = QAction("Leave", self)
        self._leave.triggered.connect(self.leave)
        lines = QVBoxLayout(self)
        lines.setContentsMargins(0, 0, 0, 8)
        lines.setSpacing(4)
        lines.addWidget(self._head)
        for field, (name, _) in zip(self.fields, fields, strict=True):
            field.box.returnPressed.connect(partial(self._next, field))
            lines.addWidget(FieldRow(name, field))
        lines.addWidget(
            ButtonGrid([KeyButton(self._do, key="Enter"), KeyButton(self._leave, key="Esc"), *more])
        )
        self.hide()

    def ask(self, fact: str = "") -> None:
        """Come into sight, the first empty field with the focus."""
        self._head.set_fact(fact)
        self.show()
        self.shown.emit(True)
        first = next((field for field in self.fields if not field.text().strip()), self.fields[0])
        first.setFocus()
        first.select_all()

    def leave(self) -> None:
        """Go out of sight; what was typed stays for the next time."""
        if self.isHidden():
            return
        for field in self.fields:
            field.accept()
        self.hide()
        self.shown.emit(False)

    def refuse(self, sentence: str) -> None:
        """Say under the first field what is wrong, and stay."""
        self.fields[0].refuse(sentence)
        self.fields[0].setFocus()

    def keyPressEvent(self, event: QKeyEvent) -> None:
        """Leave with Esc."""
        if event.key() == Qt.Key.Key_Escape:
            self.leave()
        else:
            super().keyPressEvent(event)

    def _next(self, field: Field) -> None:
        others = [one for one in self.fields if one is not field and not one.text().strip()]
        if field.text().strip() and others:
            others[0].setFocus()
        else:
            self._answer()

    def _answer(self) -> None:
        for field in self.fields:
            if not field.text().strip():
                field.refuse("empty: a few words are needed")
                field.setFocus()
                return
            field.accept()
        self.answered.emit(tuple(field.text().strip() for field in self.fields))
