"""The left column of a proof: which link and way, what the instrument says, who does it."""

from collections.abc import Mapping, Sequence

from PySide6.QtCore import Qt, Signal
from PySide6.QtWidgets import QFrame, QScrollArea, QVBoxLayout, QWidget

from app.desktop.controls.check import Check
from app.desktop.controls.choice import Choice
from app.desktop.controls.field import Field
from app.desktop.controls.field_row import FieldRow
from app.desktop.controls.fold_row import FoldRow
from app.desktop.controls.section_head import SectionHead
from app.desktop.presenters.calibrate_form import PURPOSES, FormField
from app.desktop.presenters.prove_ways import WHO, ProveForm, Way
from app.desktop.presenters.prove_words import folded_papers

_LABEL_PX = 78
_GAP = 6


class ProveFormPanel(QWidget):
    """Paints a ProveForm; ``typed`` (key, text), ``chosen`` (what, key) and ``exchanged`` ask.

    ``chosen`` tells of ``way`` and of ``purpose``.
    """

    typed = Signal(str, str)
    chosen = Signal(str, str)
    exchanged = Signal(bool)

    def __init__(self, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self.fields: dict[str, Field] = {}
        self.way = Choice("What is proved")
        self.way.chosen.connect(lambda key: self.chosen.emit("way", key))
        self._way: Way | None = None
        self.purpose = Choice("For", PURPOSES)
        self.papers = FoldRow("Its certificate")
        self.new = Check("Exchanged or adjusted")
        self._area = QScrollArea()
        self._area.setFrameShape(QFrame.Shape.NoFrame)
        self._area.setWidgetResizable(True)
        self._area.setHorizontalScrollBarPolicy(Qt.ScrollBarPolicy.ScrollBarAlwaysOff)
        self._area.setFocusPolicy(Qt.FocusPolicy.NoFocus)
        lines = QVBoxLayout(self)
        lines.setContentsMargins(0, 0, 0, 0)
        lines.setSpacing(_GAP)
        lines.addWidget(SectionHead("What is proved"))
        lines.addWidget(self.way)
        lines.addWidget(self._area, 1)

    def set_ways(self, ways: Sequence[Way]) -> None:
        """Offer what the chain allows."""
        self.way.set_options([(one.key, one.title) for one in ways])

    def set_form(self, form: ProveForm, *, refused: Mapping[str, str]) -> None:
        """Show other values, and why some are not taken."""
        if form.way != self._way:
            self._build(form.way)
        self.way.set_key(form.way.key)
        self.purpose.set_key(form.purpose)
        self.new.setChecked(form.exchanged)
        for key, field in self.fields.items():
            field.set_text(form.texts.get(key, ""))
            if key in refused:
                field.refuse(refused[key])
        self.papers.set_fact(folded_papers(form))
        if any(one.key in refused for one in form.way.papers):
            self.papers.setChecked(True)  # what is refused is seen

    def _build(self, way: Way) -> None:
        """Lay out the fields of another way."""
        self._way, self.fields = way, {}
        inside = QWidget()
        lines = QVBoxLayout(inside)
        lines.setContentsMargins(0, 0, 0, 0)
        lines.setSpacing(0)
        lines.addWidget(SectionHead(way.head))
        for one in way.fields:
            lines.addWidget(self._row(one))
        papers = [self._row(one) for one in way.papers]
        self.papers = FoldRow("Its certificate", *papers)
        lines.addWidget(self.papers)
        self.papers.setVisible(bool(papers))
        for row in papers:
            lines.addWidget(row)
        lines.addSpacing(_GAP)
        lines.addWidget(SectionHead("Who"))
        for one in WHO:
            lines.addWidget(self._row(one))
        self.purpose, self.new = Choice("For", PURPOSES), Check("Exchanged or adjusted")
        self.purpose.chosen.connect(lambda key: self.chosen.emit("purpose", key))
        self.new.setToolTip("Something of the link is new or was adjusted: its history starts anew")
        self.new.clicked.connect(self.exchanged)
        if not way.is_check:
            lines.addWidget(FieldRow("For", self.purpose, label_px=_LABEL_PX))
            lines.addWidget(self.new)
        lines.addStretch(1)
        self._area.setWidget(inside)

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
