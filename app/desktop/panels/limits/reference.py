"""Choose the unit that others are compared with: the nearest ones to the middle of all."""

from PySide6.QtCore import Signal
from PySide6.QtWidgets import QWidget

from app.desktop.controls.field import Field
from app.desktop.controls.field_row import FieldRow
from app.desktop.controls.lines_table import Column, LineRow, LinesTable
from app.desktop.controls.prose import Prose
from app.desktop.controls.section_head import SectionHead
from app.desktop.panels.limits.tool_page import lay_out_tool
from app.desktop.person import person
from app.desktop.presenters.limits_reference import ReferenceState

_LABEL = 60
_SERIAL, _OFF = 114, 52  # px


class ReferencePanel(QWidget):
    """Paints a ReferenceState; ``wanted`` carries the unit's place in the trial, who, and why."""

    looked_at = Signal(int)
    wanted = Signal(int, str, str)
    left = Signal()

    def __init__(self, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self._head = SectionHead("Reference unit", "nearest to the middle")
        self.now = Prose()
        self.now.setContentsMargins(0, 0, 0, 6)
        self.table = LinesTable(
            (
                Column(title="unit", width=_SERIAL),
                Column(title="off", width=_OFF, align="right"),
                Column(title="farthest in", quiet=True),
            ),
            name="Units nearest to the middle",
        )
        self.by = Field("By", text=person(), numeric=False)
        self.why = Field("Reason", numeric=False, placeholder="nearest to the middle")
        self.hint = Prose()
        self._rows = [
            FieldRow("By", self.by, label_px=_LABEL),
            FieldRow("Reason", self.why, label_px=_LABEL),
        ]
        self._do = lay_out_tool(
            self,
            head=self._head,
            rows=[self.now, self.table, *self._rows],
            do=("Make it", self.take),
            left=self.left,
            hint=self.hint,
        )
        self.table.chosen.connect(lambda key: self.looked_at.emit(int(key)))
        for field in (self.by, self.why):
            field.box.returnPressed.connect(self.take)

    def set_state(self, state: ReferenceState) -> None:
        """Show other units; the nearest is chosen."""
        self.now.set_text(state.now)
        self.hint.set_text(state.words)
        self.table.set_rows(
            [
                LineRow(cells=(row.serial, row.off, row.worst), key=str(row.unit), note=row.note)
                for row in state.rows
            ]
        )
        self._do.setEnabled(bool(state.rows))
        for widget in (self.table, *self._rows):
            widget.setVisible(bool(state.rows))
        if state.rows:
            self.table.choose(str(state.rows[0].unit))
            self.why.setFocus()

    def take(self) -> None:
        """Tell which unit it shall be, or ask for what is missing."""
        key = self.table.key
        if key is None or self.table.isHidden():
            return
        for field, what in ((self.by, "a name"), (self.why, "a reason")):
            if not field.text().strip():
                field.refuse(f"Missing: {what}.")
                field.setFocus()
                return
            field.accept()
        self.wanted.emit(int(key), self.by.text().strip(), self.why.text().strip())
