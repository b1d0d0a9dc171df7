"""One quiet question over the window: save what was edited, leave it as it was, or stay."""

from collections.abc import Callable, Sequence

from PySide6.QtCore import Qt, Signal
from PySide6.QtGui import QAction, QKeySequence
from PySide6.QtWidgets import QDialog, QHBoxLayout, QVBoxLayout, QWidget

from app.desktop.controls.field import Field
from app.desktop.controls.field_row import FieldRow
from app.desktop.controls.glyph import Glyph
from app.desktop.controls.key_button import KeyButton
from app.desktop.controls.prose import Prose
from app.desktop.controls.section_head import SectionHead
from app.desktop.controls.words import Ink, Words
from app.desktop.presenters.mark import Mark
from app.desktop.presenters.unsaved import UnsavedPart

_WIDTH = 480
_LABEL = 60


class UnsavedSheet(QDialog):
    """``save_asked`` and ``left_asked`` say what a person chose; Esc closes it, and they stay.

    Parameters
    ----------
    title : str
        What is about to happen.
    parts : sequence of UnsavedPart
        What is not saved.
    by : str or None
        Who signs a revision; None: nothing is to be signed.
    """

    save_asked = Signal()
    left_asked = Signal()

    def __init__(
        self, title: str, *, parts: Sequence[UnsavedPart], by: str | None, parent: QWidget
    ) -> None:
        super().__init__(parent)
        self.setWindowTitle(title)
        self.setMinimumWidth(_WIDTH)
        self.parts = tuple(parts)
        self.by = Field("By", text=by or "", numeric=False)
        self.why = Field("Reason", numeric=False, placeholder="what changes, and for what")
        self._signs = by is not None
        self._refusal = Words(ink=Ink.BAD, px=12, wraps=True)
        self._refusal.hide()
        lines = QVBoxLayout(self)
        lines.setContentsMargins(16, 12, 16, 16)
        lines.setSpacing(8)
        lines.addWidget(SectionHead(title, "not saved yet", ruled=False))
        for part in parts:
            lines.addLayout(_told(part))
        for label, field in (("By", self.by), ("Reason", self.why)):
            row = FieldRow(label, field, label_px=_LABEL)
            row.setVisible(self._signs)
            lines.addWidget(row)
            field.box.returnPressed.connect(self._save)
        lines.addWidget(self._refusal)
        lines.addLayout(self._buttons())
        (self.why.box if self._signs else self).setFocus()

    def refuse(self, sentence: str) -> None:
        """Say why it was not saved; nothing is lost yet."""
        self._refusal.set_text(sentence)
        self._refusal.setVisible(bool(sentence))
        self.set_busy(busy=False)

    def set_busy(self, *, busy: bool) -> None:
        """Hold the answers back while it is being saved."""
        self._save_action.setEnabled(not busy)
        self._leave_action.setEnabled(not busy)

    def _save(self) -> None:
        for field, what in ((self.by, "a name"), (self.why, "a reason")):
            if self._signs and not field.text().strip():
                field.refuse(f"Missing: {what}.")
                field.setFocus()
                return
            field.accept()
        self.save_asked.emit()

    def _buttons(self) -> QHBoxLayout:
        self._save_action = self._action("Save", ("Return", "Enter"), self._save)
        self._leave_action = self._action("Leave as it was", ("Ctrl+L",), self.left_asked.emit)
        stay = self._action("Stay", ("Esc",), self.reject)
        row = QHBoxLayout()
        row.setSpacing(8)
        self.save_button = KeyButton(self._save_action, primary=True)
        self.leave_button, self.stay_button = KeyButton(self._leave_action), KeyButton(stay)
        row.addWidget(self.save_button)
        row.addStretch(1)
        for button in (self.leave_button, self.stay_button):
            row.addWidget(button, 0, Qt.AlignmentFlag.AlignVCenter)
        return row

    def _action(self, text: str, keys: Sequence[str], slot: Callable[[], object]) -> QAction:
        action = QAction(text, self)
        action.setShortcuts([QKeySequence(key) for key in keys])
        action.triggered.connect(lambda: slot())
        self.addAction(action)
        return action


def _told(part: UnsavedPart) -> QHBoxLayout:
    row, words = QHBoxLayout(), QVBoxLayout()
    row.setSpacing(8)
    words.setSpacing(2)
    words.addWidget(Words(part.what, wraps=True))
    words.addWidget(Prose(part.saving))
    row.addWidget(Glyph(Mark.UNDECIDED, size=14), 0, Qt.AlignmentFlag.AlignTop)
    row.addLayout(words, 1)
    return row
