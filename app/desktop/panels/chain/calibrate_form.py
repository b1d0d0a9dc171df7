"""The left column of a calibration: what the instrument says, the air, who."""

from collections.abc import Mapping, Sequence

from PySide6.QtCore import Qt, Signal
from PySide6.QtWidgets import QFrame, QHBoxLayout, QScrollArea, QVBoxLayout, QWidget

from app.desktop.controls.check import Check
from app.desktop.controls.choice import Choice
from app.desktop.controls.field import Field
from app.desktop.controls.field_row import FieldRow
from app.desktop.controls.fold_row import FoldRow
from app.desktop.controls.glyph import Glyph
from app.desktop.controls.prose import Prose
from app.desktop.controls.section_head import SectionHead
from app.desktop.presenters.calibrate_form import (
    AIR,
    COEFFICIENTS,
    INSTRUMENT,
    LOAD,
    OWN,
    PAPERS,
    PURPOSES,
    WHO,
    Form,
    FormField,
    class_options,
    folded_words,
    nominal_options,
)
from app.desktop.presenters.mark import Mark

_LABEL_PX = 78
_PAPERS = (*PAPERS, *COEFFICIENTS)
_GAP = 4
CAUTION = (
    "Never hold it to an ear. Seat it slowly, for the diaphragm; switch it off before it leaves "
    "the microphone."
)


class CalibrateForm(QWidget):
    """Paints a Form; ``typed`` (key, text) and ``chosen`` (what, key) ask for another one."""

    typed = Signal(str, str)
    chosen = Signal(str, str)  # nominal, accuracy_class, purpose, rig; exchanged: yes, or empty

    def __init__(self, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self.fields: dict[str, Field] = {}
        self.nominal = Choice("Instrument", nominal_options())
        self.accuracy = Choice("Class", class_options())
        self.purpose = Choice("For", PURPOSES)
        self.rig = Choice("On the rig's microphone")
        for what, choice in (
            ("nominal", self.nominal),
            ("accuracy_class", self.accuracy),
            ("purpose", self.purpose),
            ("rig", self.rig),
        ):
            choice.chosen.connect(lambda key, what=what: self.chosen.emit(what, key))
        self._rig_row = FieldRow("The rig's", self.rig, label_px=_LABEL_PX)
        self.own_load = FoldRow("Another load volume", *(load := self._rows(LOAD)))
        self.papers = FoldRow("Its certificate", *(papers := self._rows(_PAPERS)))
        self.new = Check("Exchanged or adjusted")
        self.own = FoldRow("The microphone", *(own := [*self._rows(OWN), self.new]))
        self.new.setToolTip("It is another one, or was adjusted: its history starts anew")
        self.new.clicked.connect(lambda on: self.chosen.emit("exchanged", "yes" if on else ""))
        inside = QWidget()
        lines = QVBoxLayout(inside)
        lines.setContentsMargins(0, 0, 0, 0)
        lines.setSpacing(0)
        lines.addWidget(SectionHead("The instrument says"))
        lines.addWidget(FieldRow("Kind", self.nominal, label_px=_LABEL_PX))
        lines.addWidget(self._rig_row)
        lines.addWidget(FieldRow("Class", self.accuracy, label_px=_LABEL_PX))
        for one in INSTRUMENT:
            lines.addWidget(self._row(one))
        for fold, rows in ((self.papers, papers), (self.own_load, load)):
            lines.addWidget(fold)
            for row in rows:
                lines.addWidget(row)
        for title, specs in (("Ambient", AIR), ("Who", WHO)):
            lines.addSpacing(_GAP)
            lines.addWidget(SectionHead(title))
            for one in specs:
                lines.addWidget(self._row(one))
        lines.addWidget(FieldRow("For", self.purpose, label_px=_LABEL_PX))
        lines.addWidget(self.own)
        for one_of_own in own:
            lines.addWidget(one_of_own)
        lines.addStretch(1)
        self._lay_out(inside)

    def set_form(self, form: Form, *, refused: Mapping[str, str]) -> None:
        """Show other values, and why some are not taken."""
        self.nominal.set_key(form.nominal)
        self.accuracy.set_key(form.accuracy_class)
        self.purpose.set_key(form.purpose)
        self.new.setChecked(form.exchanged)
        for key, field in self.fields.items():
            field.set_text(form.texts.get(key, ""))
            if key in refused:
                field.refuse(refused[key])
        for fold, specs in ((self.papers, _PAPERS), (self.own_load, LOAD), (self.own, OWN)):
            fold.set_fact(folded_words(form, specs))
            if any(one.key in refused for one in specs):  # what is refused is seen
                fold.setChecked(True)

    def set_rig(self, options: Sequence[tuple[str, str]]) -> None:
        """Offer what the rig in software can put on; nothing on a real bench."""
        self.rig.set_options(options)
        self._rig_row.setVisible(bool(options))

    def _rows(self, specs: Sequence[FormField]) -> list[FieldRow]:
        return [self._row(one) for one in specs]

    def _row(self, spec: FormField) -> FieldRow:
        field = Field(
            spec.label,
            unit=spec.unit,
            placeholder=spec.placeholder,
            numeric=not spec.is_words,
            step=spec.step,
        )
        field.committed.connect(lambda text, key=spec.key: self.typed.emit(key, text))
        self.fields[spec.key] = field
        return FieldRow(spec.label, field, label_px=_LABEL_PX)

    def _lay_out(self, inside: QWidget) -> None:
        area = QScrollArea()
        area.setFrameShape(QFrame.Shape.NoFrame)
        area.setWidgetResizable(True)
        area.setHorizontalScrollBarPolicy(Qt.ScrollBarPolicy.ScrollBarAlwaysOff)
        area.setFocusPolicy(Qt.FocusPolicy.NoFocus)
        area.setWidget(inside)
        caution = QHBoxLayout()
        caution.setSpacing(8)
        caution.addWidget(Glyph(Mark.CAUTION, size=14), 0, Qt.AlignmentFlag.AlignTop)
        caution.addWidget(Prose(CAUTION), 1)
        outside = QVBoxLayout(self)
        outside.setContentsMargins(0, 0, 0, 0)
        outside.setSpacing(_GAP)
        outside.addWidget(area, 1)
        outside.addLayout(caution)
