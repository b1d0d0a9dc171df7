"""The right column: yields, what inspection found, units that change, whose takes count."""

from collections.abc import Sequence

from PySide6.QtCore import Signal
from PySide6.QtWidgets import QHBoxLayout, QVBoxLayout, QWidget

from app.desktop.actions import Actions
from app.desktop.controls.choice import Choice
from app.desktop.controls.key_button import KeyButton
from app.desktop.panels.limits.flips import FlipsPanel
from app.desktop.panels.limits.found_table import FoundTable
from app.desktop.panels.limits.inspection import InspectionPanel
from app.desktop.panels.limits.yields import Yields
from app.desktop.presenters.limits_trial import TrialState

_GAP = 8


class RightColumn(QWidget):
    """Paints a TrialState; ``lot_chosen`` carries a lot, None for all."""

    lot_chosen = Signal(object)  # str or None

    def __init__(self, actions: Actions, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self.yields, self.found, self.flips = Yields(), FoundTable(), FlipsPanel()
        self.inspection = InspectionPanel(actions)
        self.lots = Choice("Lot", [("", "all lots")])
        self.lots.chosen.connect(lambda key: self.lot_chosen.emit(key or None))
        foot = QHBoxLayout()
        foot.setContentsMargins(0, 0, 0, 0)
        foot.setSpacing(8)
        foot.addWidget(self.lots, 1)
        foot.addWidget(KeyButton(actions.of("export"), text="Export…"))
        lines = QVBoxLayout(self)
        lines.setContentsMargins(0, 0, 0, 0)
        lines.setSpacing(_GAP)
        lines.addWidget(self.yields)
        lines.addWidget(self.found)
        lines.addWidget(self.flips, 1)
        lines.addWidget(self.inspection)
        lines.addLayout(foot)

    def set_state(self, state: TrialState, *, drawn: Sequence[int]) -> None:
        """Show another trial."""
        self.yields.set_state(state)
        self.found.set_state(state)
        self.flips.set_rows(state.flips, fact=state.flips_fact)
        self.flips.set_drawn(drawn)

    def set_lots(self, lots: Sequence[str], *, lot: str | None) -> None:
        """Offer other lots."""
        self.lots.set_options([("", "all lots"), *((one, f"lot {one}") for one in lots)])
        self.lots.set_key(lot or "")
