"""Move a mask as a whole: by how much each limit goes up or down."""

from PySide6.QtCore import Signal
from PySide6.QtWidgets import QWidget

from app.desktop.controls.field import Field
from app.desktop.controls.field_row import FieldRow
from app.desktop.controls.prose import Prose
from app.desktop.controls.section_head import SectionHead
from app.desktop.panels.limits.tool_page import lay_out_tool
from app.desktop.presenters.capital import capital
from app.desktop.presenters.limits_typed import typed_figure
from app.procedure.edit_masks import EditRefusedError

_LABEL = 76
_HINT = "Added to every limit: +0.5 at both moves the mask up; +0.5 and −0.5 widen it."


class OffsetPanel(QWidget):
    """Two figures; Enter in either, or Apply, moves the mask."""

    wanted = Signal(float, float)  # upper by, lower by
    left = Signal()

    def __init__(self, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self.upper_by, self.lower_by = Field("Upper by", text="0"), Field("Lower by", text="0")
        self._rows = {
            self.upper_by: FieldRow("Upper by", self.upper_by, label_px=_LABEL),
            self.lower_by: FieldRow("Lower by", self.lower_by, label_px=_LABEL),
        }
        lay_out_tool(
            self,
            head=SectionHead("Offset the whole mask"),
            rows=self._rows.values(),
            do=("Apply", self.apply),
            left=self.left,
            hint=Prose(_HINT),
        )
        for field in self._rows:
            field.box.returnPressed.connect(self.apply)

    def begin(self, *, unit: str, step: float, has_upper: bool, has_lower: bool) -> None:
        """Start from nothing for another mask."""
        for field, there in ((self.upper_by, has_upper), (self.lower_by, has_lower)):
            field.set_text("0")
            field.set_unit(unit)
            field.step = step
            self._rows[field].setVisible(there)
        first = self.upper_by if has_upper else self.lower_by
        first.setFocus()
        first.select_all()

    def apply(self) -> None:
        """Ask for what stands in the fields."""
        numbers = []
        for field in (self.upper_by, self.lower_by):
            if self._rows[field].isHidden():
                numbers.append(0.0)
                continue
            try:
                numbers.append(typed_figure(field.text(), key="", unit=field.box.unit))
            except EditRefusedError as error:
                field.refuse(f"{capital(str(error))}.")
                return
            field.accept()
        self.wanted.emit(numbers[0], numbers[1])

    def refuse(self, sentence: str) -> None:
        """Say why the mask did not move."""
        (self.lower_by if self._rows[self.upper_by].isHidden() else self.upper_by).refuse(sentence)
