"""The left column of a merge: which takes, where their microphones stood, where to cross over."""

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
from app.desktop.panels.measure.field_column import FieldColumn
from app.desktop.panels.merge.pair_row import PairRow
from app.desktop.presenters.merge_form import FIELDS, ROLES
from app.desktop.presenters.merge_reading import MergeFormState

_GAP = 8
_NEAR = (
    ("near_area", "near_across"),
    ("near_area_interval", "near_gap_interval"),
    ("near_gap", "near_count"),
)
_VENT = (("vent_area", "vent_across"),)
_FAR = (("far_distance", "far_edge"),)
_SPAN = (("low", "high"),)
_EDGE = "Edge: shortest way from the unit’s centre to the edge of its baffle."


class MergePanel(FieldColumn):
    """Paints a MergeFormState; asks for other takes (``chosen``: role, id) and values (``typed``).

    ``typed`` carries the field's key and its text.
    """

    chosen = Signal(str, str)
    typed = Signal(str, str)

    def __init__(self, actions: Actions, parent: QWidget | None = None) -> None:
        super().__init__(parent=parent)
        self.fields: dict[str, Field] = {}
        self.takes: dict[str, Choice] = {}
        self._rows: list[tuple[PairRow, tuple[str, ...]]] = []
        self._edge = Prose(_EDGE)
        self._heads = {
            "near": SectionHead("Near field"),
            "far": SectionHead("Far field"),
            "span": SectionHead("Crossover"),
        }
        self.keep = KeyButton(actions.of("keep_merged"), text="Keep as a take")
        lines = self.lines
        lines.addWidget(SectionHead("Near and far field"))
        for role, label in ROLES:
            self.takes[role] = Choice(label)
            self.takes[role].chosen.connect(partial(self.chosen.emit, role))
            lines.addWidget(FieldRow(label, self.takes[role]))
        for head, rows in (
            ("near", (*_NEAR, *_VENT)),
            ("far", _FAR),
            ("span", _SPAN),
        ):
            lines.addSpacing(_GAP)
            lines.addWidget(self._heads[head])
            for pair in rows:
                lines.addWidget(self._row(pair))
            if head == "far":
                lines.addWidget(self._edge)
        lines.addSpacing(_GAP)
        lines.addWidget(self.keep)
        lines.addStretch(1)

    def set_state(
        self, state: MergeFormState, *, suits: dict[str, str], refused: str, told: dict[str, str]
    ) -> None:
        """Show other takes and values.

        Parameters
        ----------
        state : MergeFormState
            What the form means.
        suits : dict of field to str
            What stands for fields that are left empty.
        refused : str
            Why the crossover that was asked for is not used.
        told : dict of head to str
            What stands beside ``near``, ``far`` and ``span``.
        """
        for role, choice in self.takes.items():
            choice.set_options(state.options[role])
            taken = state.takes.get(role)
            choice.set_key("" if taken is None else taken.id)
        for key, field in self.fields.items():
            field.setEnabled(key not in state.hidden)
            field.set_text(state.texts.get(key, ""))
            if key in suits:
                field.box.setPlaceholderText(suits[key])
            _refuse(field, state.refused.get(key, refused if key == "low" else ""))
        for row, keys in self._rows:
            row.setVisible(not state.hidden.issuperset(keys))
            row.tell()
        self._edge.setVisible("far_edge" not in state.hidden)
        for head, fact in told.items():
            self._heads[head].set_fact(fact)
        self.fit()

    def _row(self, pair: tuple[str, ...]) -> PairRow:
        named = []
        for key in pair:
            spec = FIELDS[key]
            field = Field(
                spec.label,
                unit=spec.unit,
                placeholder=spec.placeholder,
                step=spec.step,
                told_below=False,
            )
            field.committed.connect(partial(self.typed.emit, key))
            self.fields[key] = field
            named.append((spec.label, field))
        row = PairRow(named)
        self._rows.append((row, pair))
        return row


def _refuse(field: Field, sentence: str) -> None:
    if sentence:
        field.refuse(sentence)
    elif not field.is_being_typed:
        field.accept()
