"""The left column: the chain's name and file, card, wiring, air."""

from PySide6.QtCore import Qt
from PySide6.QtGui import QResizeEvent
from PySide6.QtWidgets import QFrame, QScrollArea, QSpacerItem, QVBoxLayout, QWidget

from app.desktop.actions import Actions
from app.desktop.controls.section_head import SectionHead
from app.desktop.panels.chain.ambient import AmbientPanel
from app.desktop.panels.chain.card import CardPanel
from app.desktop.panels.chain.key_field import KeyField
from app.desktop.panels.chain.wiring import WiringPanel
from app.desktop.presenters.chain_link import LinkField
from app.desktop.presenters.chain_links import NAME

_GAP, _TIGHT = 6, 2
_LABEL_PX = 60


class SetUp(QWidget):
    """What the chain is made of; in a low window the explanation folds, then parts close up."""

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
        self._gaps = [QSpacerItem(0, _GAP) for _ in range(3)]
        for gap, panel in zip(self._gaps, (self.card, self.wiring, self.ambient), strict=True):
            self._lines.addItem(gap)
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
        self._inside.ensurePolished()
        for folded, gap in ((False, _GAP), (True, _GAP), (True, _TIGHT)):
            self.wiring.fold(folded=folded)
            for item in self._gaps:
                item.changeSize(0, gap)
            self._lines.invalidate()
            self._lines.activate()
            if self._wanted() <= self.height():
                break

    def _wanted(self) -> int:
        if self._lines.hasHeightForWidth():  # words that wrap are among them
            return self._lines.totalHeightForWidth(self.width())
        return self._lines.totalSizeHint().height()
