"""The left column of a box: what it is, how hard the unit is driven, what the unit can take."""

from functools import partial

from PySide6.QtCore import Signal
from PySide6.QtWidgets import QWidget

from app.desktop.controls.choice import Choice
from app.desktop.controls.field import Field
from app.desktop.controls.field_row import FieldRow
from app.desktop.controls.prose import Prose
from app.desktop.controls.section_head import SectionHead
from app.desktop.panels.measure.field_column import FieldColumn
from app.desktop.presenters.box_form import BOX, DRIVE, KINDS, TAKES, BoxForm, BoxFormState
from app.desktop.presenters.calibrate_form import FormField

_GAP = 8
_SUITS = (
    "Empty fields take what suits the unit: closed, the flattest response that its Qts allows; "
    "vented, the alignment that fits it. Up and Down step, with Shift ten times."
)


class BoxPanel(FieldColumn):
    """Paints a BoxForm; ``typed`` (key, text) and ``kind_chosen`` ask for another."""

    typed = Signal(str, str)
    kind_chosen = Signal(str)

    def __init__(self, parent: QWidget | None = None) -> None:
        super().__init__(parent=parent)
        self.fields: dict[str, Field] = {}
        self._rows: dict[str, FieldRow] = {}
        self.kind = Choice("Box", KINDS)
        self.kind.chosen.connect(self.kind_chosen)
        lines = self.lines
        lines.addWidget(SectionHead("Box"))
        lines.addWidget(FieldRow("Kind", self.kind))
        self._add(BOX)
        lines.addWidget(Prose(_SUITS))
        for title, specs in (("Drive", DRIVE), ("What the unit can take", TAKES)):
            lines.addSpacing(_GAP)
            lines.addWidget(SectionHead(title))
            self._add(specs)
        lines.addStretch(1)

    def set_state(self, form: BoxForm, state: BoxFormState, *, suits: dict[str, str]) -> None:
        """Show other values; ``suits`` holds what stands for fields that are left empty."""
        self.kind.set_key(form.kind)
        for key, field in self.fields.items():
            field.set_text(form.texts.get(key, ""))
            if key in suits:
                field.box.setPlaceholderText(suits[key])
            if key in state.refused:
                field.refuse(state.refused[key])
            elif not field.is_being_typed:
                field.accept()
        for key, row in self._rows.items():
            row.setVisible(key not in state.hidden)
        self.fit()

    def _add(self, specs: tuple[FormField, ...]) -> None:
        for spec in specs:
            field = Field(spec.label, unit=spec.unit, placeholder=spec.placeholder, step=spec.step)
            field.committed.connect(partial(self.typed.emit, spec.key))
            self.fields[spec.key] = field
            self._rows[spec.key] = FieldRow(spec.label, field)
            self.lines.addWidget(self._rows[spec.key])
