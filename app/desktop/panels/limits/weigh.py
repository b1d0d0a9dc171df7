"""Weigh escapes against false rejects: what each costs, and what an offset would save."""

from PySide6.QtCore import Signal
from PySide6.QtWidgets import QWidget

from app.desktop.controls.facts_table import FactsTable
from app.desktop.controls.field import Field
from app.desktop.controls.field_row import FieldRow
from app.desktop.controls.prose import Prose
from app.desktop.controls.section_head import SectionHead
from app.desktop.panels.limits.tool_page import lay_out_tool
from app.desktop.presenters.limits_weigh import HINT, WeighState, costs_of, refused_share
from app.procedure.edit_masks import EditRefusedError

_LABEL = 96


class WeighPanel(QWidget):
    """Costs; ``wanted`` carries them, ``taken`` says that the best offset shall be the draft's."""

    wanted = Signal(object)  # Costs
    taken = Signal()
    left = Signal()

    def __init__(self, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self.fields = {
            "escape_cost": Field("An escape", text="20", step=1.0),
            "false_reject_cost": Field("A false reject", text="1", step=1.0),
            "bad_share": Field("Bad units", unit="%", placeholder="as inspected", step=0.1),
        }
        labels = ("An escape", "A false reject", "Bad units")
        self.facts = FactsTable()
        self.hint = Prose(HINT)
        lay_out_tool(
            self,
            head=SectionHead("Weigh mistakes", "what each costs"),
            rows=[
                *(
                    FieldRow(label, field, label_px=_LABEL)
                    for label, field in zip(labels, self.fields.values(), strict=True)
                ),
                self.facts,
            ],
            do=("Move to best", self.taken.emit),
            left=self.left,
            hint=self.hint,
            by_enter=False,  # it counts anew
        )
        for field in self.fields.values():
            field.committed.connect(lambda _: self.apply())
            field.box.returnPressed.connect(self.apply)

    def begin(self) -> None:
        """Start: ask with what stands in the fields."""
        self.fields["escape_cost"].setFocus()
        self.apply()

    def apply(self) -> None:
        """Ask for the curve of what is typed."""
        for field in self.fields.values():
            field.accept()
        try:
            costs = costs_of({name: field.text() for name, field in self.fields.items()})
        except EditRefusedError as error:
            self.refuse(error)
            return
        self.wanted.emit(costs)

    def refuse(self, error: EditRefusedError) -> None:
        """Say what cannot be, beside its field."""
        field = self.fields.get(error.key)
        if field is None:
            self.hint.set_text(refused_share(error))
        else:
            field.refuse(refused_share(error))

    def set_state(self, state: WeighState) -> None:
        """Show what was found."""
        self.facts.set_facts(state.facts)
        self.hint.set_text(f"{state.words} {HINT}")
