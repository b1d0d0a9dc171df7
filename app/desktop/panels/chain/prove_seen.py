"""The middle column of a proof: its steps, what is heard, the reading, what it came to."""

from collections.abc import Sequence

from PySide6.QtCore import Signal
from PySide6.QtWidgets import QVBoxLayout, QWidget

from app.desktop.controls.facts_table import FactsTable
from app.desktop.controls.field import Field
from app.desktop.controls.field_row import FieldRow
from app.desktop.controls.section_head import SectionHead
from app.desktop.panels.calibration.check_list import CheckList
from app.desktop.panels.calibration.sheet import SheetLooked
from app.desktop.presenters.calibration_sheet import FoundState, Looked
from app.desktop.presenters.figures import Fact

_GAP = 8
_LABEL_PX = 150


class ProveSeen(QWidget):
    """Paints steps, live figures and a result; ``read`` (a text) is what a meter showed."""

    read = Signal(str)

    def __init__(self, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self.steps, self.live = CheckList(), FactsTable("Heard now")
        self.volts = Field("The meter shows", unit="V rms")
        self.volts.committed.connect(self.read)
        self.found = SheetLooked()
        self._live_head = SectionHead("Now")
        self._row = FieldRow("The meter shows", self.volts, label_px=_LABEL_PX)
        lines = QVBoxLayout(self)
        lines.setContentsMargins(0, 0, 0, 0)
        lines.setSpacing(_GAP)
        lines.addWidget(SectionHead("Step by step"))
        lines.addWidget(self.steps)
        lines.addWidget(self._live_head)
        lines.addWidget(self.live)
        lines.addWidget(self._row)
        lines.addWidget(self.found, 1)
        lines.addStretch(0)
        self.setAccessibleName("Proof of a link")

    def set_steps(self, steps: Sequence[Looked]) -> None:
        """Show how far it is."""
        self.steps.set_checks(steps)

    def set_live(self, facts: Sequence[Fact], *, fact: str) -> None:
        """Show what is heard, and how far it has come."""
        self.live.set_facts(facts)
        self._live_head.set_fact(fact)
        for widget in (self.live, self._live_head):
            widget.setVisible(bool(facts))

    def set_reads(self, *, reads: bool, now: bool) -> None:
        """Offer the field of a meter; ``now``: that is what is waited for."""
        self._row.setVisible(reads)
        self.volts.setEnabled(now)
        if now:
            self.volts.set_text("")
            self.volts.accept()
            self.volts.box.setFocus()

    def set_found(self, found: FoundState | None) -> None:
        """Show what it came to; None while there is nothing."""
        self.found.set_found(found)
        self.found.setVisible(found is not None)
