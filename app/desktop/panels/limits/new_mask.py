"""A new mask: about what, with which limits, counted from what, under which name."""

from collections.abc import Collection, Sequence

from PySide6.QtCore import Signal
from PySide6.QtWidgets import QWidget

from app.desktop.controls.choice import Choice
from app.desktop.controls.field import Field
from app.desktop.controls.field_row import FieldRow
from app.desktop.controls.prose import Prose
from app.desktop.controls.section_head import SectionHead
from app.desktop.panels.limits.tool_page import lay_out_tool
from app.desktop.presenters.capital import capital
from app.desktop.presenters.limits_new import (
    FROM,
    SIDES,
    asked_for,
    checked_name,
    free_name,
    quantity_options,
    usual_sides,
)
from app.procedure.edit_masks import EditRefusedError

_LABEL = 76
_HINT = "Limits begin at four deviations about the stored units; drag them from there."


class NewMaskPanel(QWidget):
    """``wanted`` carries a name and a NewMask."""

    wanted = Signal(str, object)
    left = Signal()

    def __init__(self, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self._taken: Collection[str] = ()
        self.quantity, self.sides = Choice("Quantity"), Choice("Limits", SIDES)
        self.counts_from, self.name_field = Choice("From", FROM), Field("Name", numeric=False)
        self.hint = Prose(_HINT)
        self._from_row = FieldRow("From", self.counts_from, label_px=_LABEL)
        lay_out_tool(
            self,
            head=SectionHead("New mask"),
            rows=(
                FieldRow("Quantity", self.quantity, label_px=_LABEL),
                FieldRow("Limits", self.sides, label_px=_LABEL),
                self._from_row,
                FieldRow("Name", self.name_field, label_px=_LABEL),
            ),
            do=("Add", self.apply),
            left=self.left,
            hint=self.hint,
        )
        self.quantity.chosen.connect(self._suggest)
        self.name_field.box.returnPressed.connect(self.apply)

    def begin(
        self, measured: Sequence[str], *, taken: Collection[str], has_reference: bool
    ) -> None:
        """Start anew; the first quantity that has no mask yet is suggested."""
        self._taken = taken
        self.quantity.set_options(quantity_options(measured))
        first = next((one for one in measured if one not in taken), measured[0])
        self.quantity.set_key(first)
        self.counts_from.set_key("")
        self._from_row.setVisible(has_reference)
        self.hint.set_text(_HINT)
        self._suggest()
        self.quantity.setFocus()

    def refuse(self, error: EditRefusedError) -> None:
        """Say beside the name, or below, why there is no such mask."""
        sentence = f"{capital(str(error))}."
        if error.key == "name":
            self.name_field.refuse(sentence)
        else:
            self.hint.set_text(sentence)

    def apply(self) -> None:
        """Ask for the mask."""
        try:
            name = checked_name(self.name_field.text(), taken=self._taken)
        except EditRefusedError as error:
            self.refuse(error)
            return
        self.name_field.accept()
        asked = asked_for(
            self.quantity.key(), sides=self.sides.key(), counts_from=self.counts_from.key()
        )
        self.wanted.emit(name, asked)

    def _suggest(self) -> None:
        quantity = self.quantity.key()
        self.sides.set_key(usual_sides(quantity))
        self.name_field.set_text(free_name(quantity, taken=self._taken))
