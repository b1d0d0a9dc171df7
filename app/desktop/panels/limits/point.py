"""The chosen point as numbers, with what can be done to the mask as a whole."""

from PySide6.QtCore import Signal
from PySide6.QtWidgets import QHBoxLayout, QSizePolicy, QVBoxLayout, QWidget

from app.desktop.actions import Actions
from app.desktop.controls.choice import Choice
from app.desktop.controls.field import Field
from app.desktop.controls.field_row import FieldRow
from app.desktop.controls.key_button import KeyButton
from app.desktop.controls.prose import Prose
from app.desktop.controls.section_head import SectionHead
from app.desktop.controls.words import Ink, Words
from app.desktop.presenters.capital import capital
from app.desktop.presenters.limits_point import PointState
from app.desktop.presenters.limits_risks import RisksState
from app.desktop.presenters.limits_typed import typed_figure
from app.procedure.edit_masks import EditRefusedError, Side

_LABEL = 60
# The menu has room to say what would be undone, and what is offset.
_SHORT = {"undo": "Undo", "redo": "Redo", "offset_mask": "Offset…", "propose_mask": "Propose…"}
SERIES = (
    ("10", "R10, a third octave"),
    ("20", "R20, a sixth"),
    ("40", "R40, a twelfth"),
    ("80", "R80, a 24th"),
    ("", "free"),
)


class PointPanel(QWidget):
    """Fields of the chosen point, or of a number's limits; a refusal stays beside its field."""

    at_typed = Signal(float)  # Hz
    limit_typed = Signal(str, object)  # side; float, or None where the limit shall go
    guard_typed = Signal(float)
    series_chosen = Signal(object)  # int, or None for free

    def __init__(self, actions: Actions, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self._state: PointState | None = None
        self._folds_risks = False
        self._head = SectionHead("Chosen point")
        self.at = Field("At", unit="Hz", step=1.0)
        self.first, self.second = Field("Limit", step=0.1), Field("Lower", step=0.1)
        self.guard = Field("Guard", unit="× interval", step=0.1)
        self.snap = Choice("Snap", SERIES)
        self.snap.set_key("40")
        self._rows = {
            "at": FieldRow("At", self.at, label_px=_LABEL),
            "first": FieldRow("Limit", self.first, label_px=_LABEL),
            "second": FieldRow("Lower", self.second, label_px=_LABEL),
            "guard": FieldRow("Guard", self.guard, label_px=_LABEL),
            "snap": FieldRow("Snap to", self.snap, label_px=_LABEL),
        }
        self.at.committed.connect(lambda text: self._typed(self.at, text, "at"))
        self.guard.committed.connect(lambda text: self._typed(self.guard, text, "guard"))
        self.first.committed.connect(lambda text: self._typed_limit(0, text))
        self.second.committed.connect(lambda text: self._typed_limit(1, text))
        self.snap.chosen.connect(lambda key: self.series_chosen.emit(int(key) if key else None))
        self.risks, self.warning = Prose(), Words(ink=Ink.PLAIN, px=12, wraps=True)
        for words in (self.risks, self.warning):
            words.setContentsMargins(0, 2, 0, 4)
        self._lay_out(actions)

    def set_risks(self, state: RisksState | None) -> None:
        """Say under the guard band what the mask sorts wrongly; None: not known yet."""
        self.risks.set_text("" if state is None else state.words)
        self.warning.set_text("" if state is None else state.warning)
        meaning = "" if state is None else state.meaning
        for words in (self.risks, self.warning):
            words.setToolTip(meaning)
        said = (self.risks.text(), self.warning.text(), meaning)
        self.guard.setToolTip("\n".join(filter(None, said)))
        self._show_risks()

    def _show_risks(self) -> None:
        for words in (self.risks, self.warning):
            words.setVisible(bool(words.text()) and not self._folds_risks)

    def set_state(self, state: PointState | None) -> None:
        """Show another point; what a person is typing that was refused stays."""
        self._state = state
        self._head.set_title("Chosen point" if state is None else state.title)
        self._head.set_fact("" if state is None else state.fact)
        limits = () if state is None else state.limits
        has_point = state is not None and (state.at is not None or bool(limits and limits[0][2]))
        is_number = len(limits) > 1
        self._rows["second"].setVisible(is_number)
        self._rows["at"].setVisible(not is_number)
        self._rows["snap"].setVisible(not is_number)
        self.at.setEnabled(state is not None and state.at is not None)
        self.first.setEnabled(has_point or is_number)
        self.guard.setEnabled(state is not None)
        _show(self.at, "" if state is None or state.at is None else state.at)
        fields = ((self.first, self._rows["first"]), (self.second, self._rows["second"]))
        for (field, row), (_, label, text) in zip(fields, limits, strict=False):
            row.set_label(label)
            field.set_unit("" if state is None else state.unit)
            field.step = None if state is None else state.step
            _show(field, text)
        _show(self.guard, "" if state is None else state.guard)

    def refuse(self, error: EditRefusedError, *, side: Side | None = None) -> None:
        """Say beside its field what the mask cannot take."""
        field = {"at": self.at, "guard": self.guard}.get(error.key, self.first)
        if field is self.first and side == "lower" and not self._rows["second"].isHidden():
            field = self.second
        field.refuse(f"{capital(str(error))}.")

    def fold(self, *, folded: bool, risks_too: bool) -> None:
        """Leave undo and redo to their keys where the window is low, risks to the guard's tip."""
        self._undo.setVisible(not folded)
        self._folds_risks = risks_too
        self._show_risks()

    def forget_refusals(self) -> None:
        """Let the next state replace what was refused."""
        for field in (self.at, self.first, self.second, self.guard):
            field.accept()

    def _lay_out(self, actions: Actions) -> None:
        lines = QVBoxLayout(self)
        lines.setContentsMargins(0, 0, 0, 0)
        lines.setSpacing(0)
        lines.addWidget(self._head)
        for name, row in self._rows.items():
            lines.addWidget(row)
            if name == "guard":
                lines.addWidget(self.risks)
                lines.addWidget(self.warning)
        self.set_risks(None)
        self._undo = _buttons(actions, "undo", "redo")
        lines.addWidget(self._undo)
        lines.addWidget(_buttons(actions, "offset_mask", "propose_mask"))
        self.setSizePolicy(QSizePolicy.Policy.Preferred, QSizePolicy.Policy.Maximum)

    def _typed(self, field: Field, text: str, key: str) -> None:
        number = _figure(field, text, key=key, unit="Hz" if key == "at" else "")
        if number is not None and key == "at":
            self.at_typed.emit(number)
        elif number is not None:
            self.guard_typed.emit(number)

    def _typed_limit(self, place: int, text: str) -> None:
        if self._state is None or place >= len(self._state.limits):
            return
        field = (self.first, self.second)[place]
        side = self._state.limits[place][0]
        if not text.strip() and len(self._state.limits) > 1:
            self.limit_typed.emit(side, None)  # that limit shall go
            return
        number = _figure(field, text, key="limit", unit=self._state.unit)
        if number is not None:
            self.limit_typed.emit(side, number)


def _buttons(actions: Actions, *ids: str) -> QWidget:
    row = QWidget()
    line = QHBoxLayout(row)
    line.setContentsMargins(0, 6, 0, 0)
    line.setSpacing(8)
    for one in ids:
        line.addWidget(KeyButton(actions.of(one), text=_SHORT[one]))
    line.addStretch(1)
    return row


def _figure(field: Field, text: str, *, key: str, unit: str) -> float | None:
    try:
        return typed_figure(text, key=key, unit=unit)
    except EditRefusedError as error:
        field.refuse(f"{capital(str(error))}.")
        return None


def _show(field: Field, text: str) -> None:
    # Nothing is laid out anew under a moving hand for what has not changed.
    if not field.is_refused and field.text() != text:
        field.set_text(text)
