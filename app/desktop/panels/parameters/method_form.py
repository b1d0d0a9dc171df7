"""The left column of the parameters: the area that moves air, and how the moving mass is found."""

from collections.abc import Sequence
from functools import partial

from PySide6.QtCore import Signal
from PySide6.QtWidgets import QWidget

from app.desktop.actions import Actions
from app.desktop.controls.choice import Choice
from app.desktop.controls.field import Field
from app.desktop.controls.field_row import FieldRow
from app.desktop.controls.key_button import KeyButton
from app.desktop.controls.prose import Prose
from app.desktop.controls.section_head import SectionHead
from app.desktop.controls.words import Ink, Words
from app.desktop.panels.measure.field_column import FieldColumn
from app.desktop.presenters.calibrate_form import FormField
from app.desktop.presenters.parameters_method import (
    AMOUNT,
    AMOUNT_INTERVAL,
    AREA,
    KINDS,
    LE,
    MethodForm,
    MethodState,
)

_GAP = 8


class MethodPanel(FieldColumn):
    """Paints a MethodForm; ``typed`` (key, text) and ``chosen`` (what, key) ask for another."""

    typed = Signal(str, str)
    chosen = Signal(str, str)  # kind or second

    def __init__(self, actions: Actions, parent: QWidget | None = None) -> None:
        super().__init__(parent=parent)
        self.fields: dict[str, Field] = {}
        self._area_head = SectionHead("Area that moves air")
        self.kind = Choice("Scale by", KINDS)
        self.kind.chosen.connect(partial(self.chosen.emit, "kind"))
        self.second = Choice("Second take")
        self.second.chosen.connect(partial(self.chosen.emit, "second"))
        self._second_row = FieldRow("Other take", self.second)
        self._amount, self._half = self._row(AMOUNT), self._row(AMOUNT_INTERVAL)
        self._refusal = Words(ink=Ink.BAD, px=12, wraps=True)
        self.hint = Prose()
        self.keep = KeyButton(actions.of("keep_mass"), text="Keep as known mass")
        lines = self.lines
        lines.addWidget(self._area_head)
        for spec in AREA:
            lines.addWidget(self._row(spec))
        lines.addWidget(Prose("Half of the surround moves with the cone: the mean of both counts."))
        lines.addSpacing(_GAP)
        lines.addWidget(SectionHead("Scale of masses and forces"))
        for row in (FieldRow("By", self.kind), self._second_row, self._amount, self._half):
            lines.addWidget(row)
        lines.addWidget(self._refusal)
        lines.addWidget(self.hint)
        lines.addSpacing(_GAP)
        lines.addWidget(self.keep)
        lines.addSpacing(_GAP)
        lines.addWidget(SectionHead("Inductance"))
        lines.addWidget(self._row(LE))
        lines.addStretch(1)

    def set_state(self, form: MethodForm, state: MethodState, *, refusal: str = "") -> None:
        """Show other values, why some are not taken, and what the method says against them."""
        self.kind.set_key(form.kind)
        self.second.set_key(form.second)
        for key, field in self.fields.items():
            field.set_text(form.texts.get(key, ""))
            if key in state.refused and form.texts.get(key):
                field.refuse(state.refused[key])
            elif not field.is_being_typed:
                field.accept()
        self._area_head.set_fact(state.area_told)
        self._second_row.setVisible(state.wants_second)
        for row, key in ((self._amount, "amount"), (self._half, "amount_interval")):
            row.setVisible(bool(state.amount_unit))
            self.fields[key].set_unit(
                state.amount_unit if key == "amount" else f"{state.amount_unit}, k = 2"
            )
        self._amount.set_label(state.amount_label)
        missing = [one for key, one in state.refused.items() if not form.texts.get(key)]
        self._refusal.set_text(refusal or " ".join(missing))
        self._refusal.setVisible(bool(self._refusal.text()))
        self.hint.set_text(state.hint)
        self.keep.setVisible(state.wants_second)
        self.fit()

    @property
    def refusal(self) -> str:
        """What stands against the method as a whole."""
        return self._refusal.text()

    def set_seconds(self, options: Sequence[tuple[str, str]]) -> None:
        """Offer other takes."""
        self.second.set_options(options)

    def _row(self, spec: FormField) -> FieldRow:
        field = Field(spec.label, unit=spec.unit, placeholder=spec.placeholder, step=spec.step)
        field.committed.connect(partial(self.typed.emit, spec.key))
        self.fields[spec.key] = field
        return FieldRow(spec.label, field)
