"""One quiet question before a revision is approved or retired: who says so, and why."""

from collections.abc import Sequence

from PySide6.QtCore import Qt, Signal
from PySide6.QtGui import QAction, QKeySequence
from PySide6.QtWidgets import QDialog, QHBoxLayout, QVBoxLayout, QWidget

from app.desktop.controls.field import Field
from app.desktop.controls.field_row import FieldRow
from app.desktop.controls.key_button import KeyButton
from app.desktop.controls.prose import Prose
from app.desktop.controls.section_head import SectionHead
from app.desktop.controls.words import Ink, Words

_WIDTH = 520
_LABEL = 60


class ApprovalSheet(QDialog):
    """``signed`` carries name and reason; Esc closes it, and nothing changes.

    Parameters
    ----------
    title, fact : str
        What is about to be done, and with which set.
    lines : sequence of str
        What it does; each a sentence.
    deed : str
        What the button says.
    by : str
        Who sits here, as a beginning.
    """

    signed = Signal(str, str)

    def __init__(
        self,
        title: str,
        *,
        fact: str,
        lines: Sequence[str],
        deed: str,
        by: str,
        parent: QWidget,
    ) -> None:
        super().__init__(parent)
        self.setWindowTitle(title)
        self.setMinimumWidth(_WIDTH)
        self.by = Field("By", text=by, numeric=False)
        self.why = Field(
            "Reason", numeric=False, placeholder="what was looked at, and what speaks for it"
        )
        self._refusal = Words(ink=Ink.BAD, px=12, wraps=True)
        self._refusal.hide()
        column = QVBoxLayout(self)
        column.setContentsMargins(16, 12, 16, 16)
        column.setSpacing(8)
        column.addWidget(SectionHead(title, fact, ruled=False))
        for line in lines:
            column.addWidget(Prose(line))
        for label, field in (("By", self.by), ("Reason", self.why)):
            column.addWidget(FieldRow(label, field, label_px=_LABEL))
            field.box.returnPressed.connect(self._sign)
        column.addWidget(self._refusal)
        column.addLayout(self._buttons(deed))
        self.why.box.setFocus()

    def refuse(self, sentence: str) -> None:
        """Say why it was not done; it can be put right and tried again."""
        self._refusal.set_text(sentence)
        self._refusal.show()
        self._deed.setEnabled(True)

    def _sign(self) -> None:
        for field, what in ((self.by, "a name"), (self.why, "a reason")):
            if not field.text().strip():
                field.refuse(f"Missing: {what}.")
                field.setFocus()
                return
            field.accept()
        self._deed.setEnabled(False)
        self.signed.emit(self.by.text(), self.why.text())

    def _buttons(self, deed: str) -> QHBoxLayout:
        self._deed = QAction(deed, self)
        self._deed.setShortcuts([QKeySequence("Return"), QKeySequence("Enter")])
        self._deed.triggered.connect(lambda: self._sign())
        leave = QAction("Leave it", self)
        leave.setShortcut(QKeySequence("Esc"))
        leave.triggered.connect(self.reject)
        row = QHBoxLayout()
        row.setSpacing(8)
        for action in (self._deed, leave):
            self.addAction(action)
        row.addWidget(KeyButton(self._deed, primary=True))
        row.addStretch(1)
        row.addWidget(KeyButton(leave), 0, Qt.AlignmentFlag.AlignVCenter)
        return row
