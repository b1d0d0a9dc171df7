"""Have limits proposed: from how much units differ, from a tolerance interval, from one take."""

from PySide6.QtCore import Signal
from PySide6.QtWidgets import QWidget

from app.desktop.controls.check import Check
from app.desktop.controls.choice import Choice
from app.desktop.controls.field import Field
from app.desktop.controls.field_row import FieldRow
from app.desktop.controls.prose import Prose
from app.desktop.controls.section_head import SectionHead
from app.desktop.panels.limits.tool_page import lay_out_tool
from app.desktop.presenters.capital import capital
from app.desktop.presenters.limits_propose import (
    FLOATING,
    WAYS,
    ProposeState,
    Typed,
    wish_of,
)
from app.procedure.edit_masks import EditRefusedError

_LABEL = 76
_SPREAD = ("floor", "floating")
_OF_WAY = {
    "unit_rate": ("rate", "robust", *_SPREAD),
    "sigma": ("k", "robust", *_SPREAD),
    "tolerance": ("share", "confidence", *_SPREAD),
    "percentile": ("share", "confidence", *_SPREAD),
    "take": ("above", "below"),
}
_OF_CURVES = {"series", "from", "to"}


class ProposePanel(QWidget):
    """What the limits shall follow from; ``wanted`` carries a Wish."""

    wanted = Signal(object)  # app.measure.wish.Wish
    left = Signal()

    def __init__(self, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self._state: ProposeState | None = None
        self._head = SectionHead("Propose limits")
        self.way = Choice("From", WAYS)
        self.fields = {
            "k": Field("k", text="4", unit="deviations", step=0.5),
            "share": Field("Share", text="99", unit="% of units", step=0.5),
            "confidence": Field("Confidence", text="95", unit="%", step=1.0),
            "rate": Field("Stopped", text="0.1", unit="% of good units", step=0.1),
            "floor": Field("Gauge", text="0"),
            "above": Field("Above", text="3"),
            "below": Field("Below", text="3"),
            "from": Field("From", unit="Hz"),
            "to": Field("To", unit="Hz"),
        }
        self.series = Choice("Points", [(str(n), f"R{n}, {n} a decade") for n in (5, 10, 20, 40)])
        self.series.set_key("10")
        self.floating = Choice("Judged", FLOATING)
        self.robust = Check("some may be bad")
        self.fields["floor"].setToolTip("What a deviation is at least: that of the gauge itself")
        self._rows = {
            "way": FieldRow("From", self.way, label_px=_LABEL),
            "k": FieldRow("k", self.fields["k"], label_px=_LABEL),
            "share": FieldRow("Share", self.fields["share"], label_px=_LABEL),
            "confidence": FieldRow("Confidence", self.fields["confidence"], label_px=_LABEL),
            "rate": FieldRow("Stopped", self.fields["rate"], label_px=_LABEL),
            "floor": FieldRow("Gauge s", self.fields["floor"], label_px=_LABEL),
            "floating": FieldRow("Judged", self.floating, label_px=_LABEL),
            "robust": FieldRow("", self.robust, label_px=_LABEL),
            "above": FieldRow("Above", self.fields["above"], label_px=_LABEL),
            "below": FieldRow("Below", self.fields["below"], label_px=_LABEL),
            "series": FieldRow("Points", self.series, label_px=_LABEL),
            "from": FieldRow("Lowest", self.fields["from"], label_px=_LABEL),
            "to": FieldRow("Highest", self.fields["to"], label_px=_LABEL),
        }
        self.hint = Prose("")
        self.way.chosen.connect(self._show_way)
        self._lay_out()

    def begin(self, state: ProposeState) -> None:
        """Start for another mask."""
        self._state = state
        self._head.set_fact(state.fact)
        for name in ("above", "below", "floor"):
            self.fields[name].set_unit(state.unit)
            self.fields[name].step = state.step
        self.fields["from"].set_text(state.low)
        self.fields["to"].set_text(state.high)
        self._show_way()
        self.way.setFocus()

    def refuse(self, error: EditRefusedError) -> None:
        """Say beside its field what cannot be."""
        sentence = f"{capital(str(error))}."
        field = self.fields.get(error.key)
        if field is not None:
            field.refuse(sentence)
        else:
            self.hint.set_text(sentence)

    def apply(self) -> None:
        """Ask for what stands in the fields."""
        if self._state is None:
            return
        for field in self.fields.values():
            field.accept()
        typed = Typed(
            way=self.way.key(),
            series=self.series.key(),
            figures={name: field.text() for name, field in self.fields.items()},
            floating="" if self._state.is_number else self.floating.key(),
            robust=self.robust.isChecked(),
        )
        try:
            wish = wish_of(typed, state=self._state)
        except EditRefusedError as error:
            self.refuse(error)
            return
        self.wanted.emit(wish)

    def _lay_out(self) -> None:
        lay_out_tool(
            self,
            head=self._head,
            rows=self._rows.values(),
            do=("Propose", self.apply),
            left=self.left,
            hint=self.hint,
        )
        for field in self.fields.values():
            field.box.returnPressed.connect(self.apply)

    def _show_way(self) -> None:
        state = self._state
        if state is None:
            return
        shown = {"way", *_OF_WAY[self.way.key()], *_OF_CURVES}
        if state.is_number:
            shown -= {*_OF_CURVES, "floating"}
        for name, row in self._rows.items():
            row.setVisible(name in shown)
        self.hint.set_text(state.hints[self.way.key()])
