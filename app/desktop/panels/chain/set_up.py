"""The left column: the chain's name and file, card, wiring, air."""

from PySide6.QtCore import Qt
from PySide6.QtGui import QResizeEvent
from PySide6.QtWidgets import QFrame, QScrollArea, QVBoxLayout, QWidget

from app.desktop.actions import Actions
from app.desktop.controls.section_head import SectionHead
from app.desktop.panels.chain.ambient import AmbientPanel
from app.desktop.panels.chain.card import CardPanel
from app.desktop.panels.chain.key_field import KeyField
from app.desktop.panels.chain.wiring import WiringPanel
from app.desktop.presenters.chain_link import LinkField
from app.desktop.presenters.chain_links import NAME

_GAP = 6
_LABEL_PX = 60


class SetUp(QWidget):
    """What the chain is made of; where the window is low, the explanation folds first."""

    def __init__(self, actions: Actions, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self.head, self.name = SectionHead("Chain"), KeyField(NAME, label_px=_LABEL_PX)
        self.card, self.wiring, self.ambient = CardPanel(actions), WiringPanel(), AmbientPanel()
        self._inside = QWidget()
        self._lines = QVBoxLayout(self._inside)
        self._lines.setContentsMargins(0, 0, 0, 0)
        self._lines.setSpacing(0)
        self._lines.addWidget(self.head)
        self._lines.addWidget(self.name)
        for panel in (self.card, self.wiring, self.ambient):
            self._lines.addSpacing(_GAP)
            self._lines.addWidget(panel)
        self._lines.addStretch(1)
        area = QScrollArea()
        area.setFrameShape(QFrame.Shape.NoFrame)
        area.setWidgetResizable(True)
        area.setHorizontalScrollBarPolicy(Qt.ScrollBarPolicy.ScrollBarAlwaysOff)
        area.setFocusPolicy(Qt.FocusPolicy.NoFocus)
        area.setWidget(self._inside)
        outside = QVBoxLayout(self)
        outside.setContentsMargins(0, 0, 0, 0)
        outside.addWidget(area)

    def set_chain(self, name: LinkField, *, file: str) -> None:
        """Show what the chain is called, and where it is kept."""
        self.name.set_field(name)
        self.head.set_fact(file)

    def resizeEvent(self, event: QResizeEvent) -> None:
        """Fold or unfold."""
        super().resizeEvent(event)
        self.fit()

    def fit(self) -> None:
        """Fold what need not be read where all of it would not fit."""
        self.wiring.fold(folded=False)
        self._inside.ensurePolished()
        self._lines.activate()
        wanted = self._lines.totalHeightForWidth(self.width())
        self.wiring.fold(folded=wanted > self.height())
