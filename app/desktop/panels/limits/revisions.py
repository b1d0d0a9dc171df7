"""Revisions and the draft, and who saves it for what reason."""

from PySide6.QtCore import Signal, SignalInstance
from PySide6.QtWidgets import QSizePolicy, QVBoxLayout, QWidget

from app.desktop.controls.field import Field
from app.desktop.controls.field_row import FieldRow
from app.desktop.controls.lines_table import Column, LineRow, LinesTable
from app.desktop.controls.lines_view import ROW
from app.desktop.controls.section_head import SectionHead
from app.desktop.presenters.limits_revisions import UNSAVED, RevisionsState

_DAY = 64
_MOST_ROWS = 5
_LABEL = 60


class RevisionsPanel(QWidget):
    """Shows revisions; a press holds the draft against one, a double click puts it on the bench.

    Enter in the reason saves.
    """

    chosen = Signal(int)  # number of a revision
    wanted = Signal(int)
    save_asked = Signal()

    def __init__(self, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self._head = SectionHead("Revisions")
        self.table = LinesTable(
            (Column(title=""), Column(title="", width=_DAY, align="right", quiet=True)),
            name="Revisions",
        )
        self.table.horizontalHeader().hide()
        self.table.setToolTip(
            "A press holds the draft against a revision; a double click puts it on the bench"
        )
        self.table.chosen.connect(lambda key: self._tell(self.chosen, key))
        self.table.pressed_twice.connect(lambda key: self._tell(self.wanted, key))
        self.by = Field("By", numeric=False, placeholder="your name")
        self.why = Field("Reason", numeric=False, placeholder="what changes, and for what")
        self.why.box.returnPressed.connect(self.save_asked)
        self._sign = [
            FieldRow("By", self.by, label_px=_LABEL),
            FieldRow("Reason", self.why, label_px=_LABEL),
        ]
        lines = QVBoxLayout(self)
        lines.setContentsMargins(0, 0, 0, 0)
        lines.setSpacing(0)
        lines.addWidget(self._head)
        lines.addWidget(self.table)
        for row in self._sign:
            lines.addWidget(row)
        self.setSizePolicy(QSizePolicy.Policy.Preferred, QSizePolicy.Policy.Maximum)

    def set_state(self, state: RevisionsState, *, is_draft: bool) -> None:
        """Show other revisions; only a draft can be signed."""
        self._head.set_fact(state.fact)
        self.table.set_rows(
            [
                LineRow(
                    cells=(row.words, row.day), key=str(row.number), mark=row.mark, note=row.note
                )
                for row in state.rows
            ]
        )
        rows = len(state.rows)
        self.table.setMaximumHeight(ROW * min(max(rows, 1), _MOST_ROWS))
        for row in self._sign:
            row.setVisible(is_draft)

    def ask(self) -> bool:
        """Return whether name and reason are there; put the focus to what is missing."""
        for field, what in ((self.by, "a name"), (self.why, "a reason")):
            if not field.text().strip():
                field.refuse(f"Missing: {what}.")
                field.setFocus()
                return False
            field.accept()
        return True

    def _tell(self, signal: SignalInstance, key: str) -> None:
        if int(key) != UNSAVED:
            signal.emit(int(key))
