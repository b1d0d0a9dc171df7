"""The excitation card: the kind, and the fields that this kind has."""

from functools import partial

from PySide6.QtCore import Qt, Signal
from PySide6.QtWidgets import QHBoxLayout, QVBoxLayout, QWidget

from app.desktop.controls.check import Check
from app.desktop.controls.choice import Choice
from app.desktop.controls.field import Field
from app.desktop.controls.field_row import FieldRow
from app.desktop.panels.measure.headed import Headed
from app.desktop.presenters.excitation import ExcitationCard, ExcitationField

_KIND_PX, _UNIT_PX = 128, 74
_STEPS = {"level": 0.1, "time": 0.1, "dwell": 0.1, "crest": 1.0}
_WHOLE_SERIES, _ADD, _REMOVE = "whole", "add", "remove"
_WORDS = frozenset({"zones", "file"})  # long texts begin at the left

Editor = Field | Choice


class ExcitationPanel(QWidget):
    """Shows an ExcitationCard, and asks for what a person changes in it.

    ``part_asked`` carries the number of a part of a series, or None for the series itself.
    """

    kind_asked = Signal(str)
    typed = Signal(str, str)  # field id, text
    level_unit_asked = Signal(str)  # V, W
    part_asked = Signal(object)
    part_added = Signal()
    part_removed = Signal()

    def __init__(self, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self._card: ExcitationCard | None = None
        self._editors: dict[str, Editor] = {}
        self._rows: list[QWidget] = []
        self._level_unit: Choice | None = None
        self.kind = Choice("Kind of excitation")
        self.kind.setFixedWidth(_KIND_PX)
        self.kind.chosen.connect(self.kind_asked)
        self.part = Choice("Part of the series")
        self.part.chosen.connect(self._ask_part)
        self._part_row = FieldRow("Part", self.part)
        self.more = Check("More fields")
        self.more.toggled.connect(self._fold)
        self._lines = QVBoxLayout(self)
        self._lines.setContentsMargins(0, 0, 0, 0)
        self._lines.setSpacing(0)
        self._lines.addWidget(Headed("Excitation", self.kind))
        self._lines.addWidget(self._part_row)
        self._lines.addWidget(self.more)

    @property
    def card(self) -> ExcitationCard | None:
        """What it shows."""
        return self._card

    def editor(self, field: str) -> Editor:
        """Return the control of a field."""
        return self._editors[field]

    def set_card(self, card: ExcitationCard) -> None:
        """Show another card; a field that is still there keeps focus and cursor."""
        same = self._card is not None and _shape(self._card) == _shape(card)
        self._card = card
        self.kind.set_options(card.kinds)
        self.kind.set_key(card.kind)
        self._set_parts(card)
        if not same:
            self._build(card)
        for field in card.fields:
            _fill(self._editors[field.id], field)
        if self._level_unit is not None:
            self._level_unit.set_key(card.level_unit)
            # A refusal needs the whole width.
            refused = any(field.units and field.refusal for field in card.fields)
            self._level_unit.setVisible(not refused)
        self._fold()

    def _set_parts(self, card: ExcitationCard) -> None:
        self._part_row.setVisible(bool(card.parts))
        options = [(_WHOLE_SERIES, "whole series")]
        options += [(str(number), words) for number, words in enumerate(card.parts)]
        if card.part is not None:
            options.append((_ADD, "add one like it"))
            if len(card.parts) > 1:
                options.append((_REMOVE, "remove it"))
        self.part.set_options(options)
        self.part.set_key(_WHOLE_SERIES if card.part is None else str(card.part))

    def _build(self, card: ExcitationCard) -> None:
        for row in self._rows:
            self._lines.removeWidget(row)
            row.hide()
            row.deleteLater()
        self._rows, self._editors, self._level_unit = [], {}, None
        for field in card.fields:
            editor = self._editor(field)
            self._editors[field.id] = editor
            row = FieldRow(field.label, self._with_unit(editor, field))
            self._rows.append(row)
            self._lines.insertWidget(self._lines.indexOf(self.more), row)
            row.setVisible(not field.is_rare)

    def _editor(self, field: ExcitationField) -> Editor:
        if field.choices:
            choice = Choice(field.label, field.choices)
            choice.chosen.connect(partial(self.typed.emit, field.id))
            return choice
        made = Field(
            field.label,
            unit="" if field.units else field.unit,
            placeholder=field.placeholder,
            numeric=field.id not in _WORDS,
            step=1.0 if field.is_whole else _STEPS.get(field.id),
        )
        made.committed.connect(partial(self.typed.emit, field.id))
        return made

    def _with_unit(self, editor: Editor, field: ExcitationField) -> QWidget:
        if not field.units:
            return editor
        unit = Choice("Unit of the level", field.units)
        unit.setFixedWidth(_UNIT_PX)
        unit.chosen.connect(self.level_unit_asked)
        self._level_unit = unit
        pair = QWidget()
        line = QHBoxLayout(pair)
        line.setContentsMargins(0, 0, 0, 0)
        line.setSpacing(6)
        line.addWidget(editor, 1, Qt.AlignmentFlag.AlignTop)
        line.addWidget(unit, 0, Qt.AlignmentFlag.AlignTop)
        return pair

    def _fold(self) -> None:
        card = self._card
        if card is None:
            return
        self.more.setVisible(any(field.is_rare for field in card.fields))
        for row, field in zip(self._rows, card.fields, strict=True):
            row.setVisible(not field.is_rare or self.more.isChecked() or bool(field.refusal))

    def _ask_part(self, key: str) -> None:
        if key == _ADD:
            self.part_added.emit()
        elif key == _REMOVE:
            self.part_removed.emit()
        else:
            self.part_asked.emit(None if key == _WHOLE_SERIES else int(key))


def _shape(card: ExcitationCard) -> tuple[object, ...]:
    return card.kind, tuple((field.id, field.unit, field.placeholder) for field in card.fields)


def _fill(editor: Editor, field: ExcitationField) -> None:
    if isinstance(editor, Choice):
        editor.set_key(field.text)
        return
    if editor.text() != field.text or not field.refusal:
        editor.set_text(field.text)
    if field.id in _WORDS:
        editor.box.setToolTip(field.text)
        if not editor.box.hasFocus():
            editor.box.setCursorPosition(0)  # a long text is read from its beginning
    if field.refusal:
        editor.refuse(field.refusal)
