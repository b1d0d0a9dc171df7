"""The left column: the unit, the excitation, what it will do, geometry and gate."""

from PySide6.QtCore import Qt
from PySide6.QtGui import QResizeEvent
from PySide6.QtWidgets import QFrame, QScrollArea, QVBoxLayout, QWidget

from app.desktop.panels.measure.excitation import ExcitationPanel
from app.desktop.panels.measure.gate import GatePanel
from app.desktop.panels.measure.specimen import Specimen
from app.desktop.panels.measure.will_do import WillDoPanel

_GAP = 8


class SetUp(QWidget):
    """What goes in; where the window is low, explanations fold before anything scrolls."""

    def __init__(self, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self.specimen = Specimen()
        self.excitation = ExcitationPanel()
        self.will_do = WillDoPanel()
        self.gate = GatePanel()
        self._inside = QWidget()
        self._lines = QVBoxLayout(self._inside)
        self._lines.setContentsMargins(0, 0, 0, 0)
        self._lines.setSpacing(_GAP)
        for panel in (self.specimen, self.excitation, self.will_do, self.gate):
            self._lines.addWidget(panel)
        self._lines.addStretch(1)
        self._area = QScrollArea()
        self._area.setFrameShape(QFrame.Shape.NoFrame)
        self._area.setWidgetResizable(True)
        self._area.setHorizontalScrollBarPolicy(Qt.ScrollBarPolicy.ScrollBarAlwaysOff)
        self._area.setFocusPolicy(Qt.FocusPolicy.NoFocus)
        self._area.setWidget(self._inside)
        outside = QVBoxLayout(self)
        outside.setContentsMargins(0, 0, 0, 0)
        outside.addWidget(self._area)

    def resizeEvent(self, event: QResizeEvent) -> None:
        """Fold or unfold."""
        super().resizeEvent(event)
        self.fit()

    def fit(self) -> None:
        """Fold what need not be read when all of it would not fit."""
        self.gate.set_low(low=False)
        self._inside.ensurePolished()
        self._lines.activate()
        wanted = self._lines.totalHeightForWidth(self.width())
        self.gate.set_low(low=max(wanted, self._lines.totalSizeHint().height()) > self.height())
