"""How well the gauge tells units apart, by takes of the same units again and again."""

from PySide6.QtCore import Signal
from PySide6.QtWidgets import QWidget

from app.desktop.controls.choice import Choice
from app.desktop.controls.facts_table import FactsTable
from app.desktop.controls.field_row import FieldRow
from app.desktop.controls.prose import Prose
from app.desktop.controls.section_head import SectionHead
from app.desktop.panels.limits.tool_page import lay_out_tool
from app.desktop.presenters.limits_gauge import MEANING, GaugeState

_LABEL = 76


class GaugePanel(QWidget):
    """Paints a GaugeState; ``asked`` says over what repeats shall be compared."""

    asked = Signal(str)  # station or day
    taken = Signal(str)  # the gauge's deviation, for a proposal
    left = Signal()

    def __init__(self, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self._floor = ""
        self._head = SectionHead("Gauge study")
        self.by = Choice("Between", [("station", "stations"), ("day", "days")])
        self.by.chosen.connect(self.asked)
        self.facts, self.hint = FactsTable("Gauge study"), Prose(MEANING)
        self._do = lay_out_tool(
            self,
            head=self._head,
            rows=[FieldRow("Between", self.by, label_px=_LABEL), self.facts],
            do=("Propose with it", self.take),
            left=self.left,
            hint=self.hint,
        )

    def begin(self) -> None:
        """Start: ask with what is chosen."""
        self.by.setFocus()
        self.asked.emit(self.by.key())

    def take(self) -> None:
        """Have limits proposed that leave the gauge its room."""
        if self._floor:
            self.taken.emit(self._floor)

    def set_state(self, state: GaugeState) -> None:
        """Show what was found."""
        self._floor = state.floor
        self._do.setEnabled(bool(state.floor))
        self._head.set_fact(state.fact)
        self.facts.set_facts(state.facts)
        self.facts.setVisible(bool(state.facts))
        self.hint.set_text(f"{state.words} {MEANING}" if state.facts else state.words)
