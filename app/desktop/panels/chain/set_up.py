"""The left column: card, wiring, air."""

from PySide6.QtGui import QResizeEvent
from PySide6.QtWidgets import QVBoxLayout, QWidget

from app.desktop.actions import Actions
from app.desktop.panels.chain.ambient import AmbientPanel
from app.desktop.panels.chain.card import CardPanel
from app.desktop.panels.chain.wiring import WiringPanel

_GAP = 8


class SetUp(QWidget):
    """What the chain is made of; where the window is low, the explanation folds."""

    def __init__(self, actions: Actions, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self.card, self.wiring, self.ambient = CardPanel(actions), WiringPanel(), AmbientPanel()
        self._lines = QVBoxLayout(self)
        self._lines.setContentsMargins(0, 0, 0, 0)
        self._lines.setSpacing(_GAP)
        for panel in (self.card, self.wiring, self.ambient):
            self._lines.addWidget(panel)
        self._lines.addStretch(1)

    def resizeEvent(self, event: QResizeEvent) -> None:
        """Fold or unfold."""
        super().resizeEvent(event)
        self.fit()

    def fit(self) -> None:
        """Fold what need not be read where all of it would not fit."""
        self.wiring.fold(folded=False)
        self._lines.activate()
        wanted = self._lines.totalHeightForWidth(self.width())
        self.wiring.fold(folded=max(wanted, self._lines.totalMinimumSize().height()) > self.height())
