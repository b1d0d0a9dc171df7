"""The left column: the unit, the excitation, what it will do, geometry and gate."""

from PySide6.QtCore import Qt, Signal
from PySide6.QtGui import QKeyEvent
from PySide6.QtWidgets import QApplication, QWidget

from app.desktop.controls.field import Field
from app.desktop.panels.measure.excitation import ExcitationPanel
from app.desktop.panels.measure.gate import GatePanel
from app.desktop.panels.measure.panel_column import PanelColumn
from app.desktop.panels.measure.specimen import Specimen
from app.desktop.panels.measure.will_do import WillDoPanel

_GAP, _TIGHT = 6, 4
_FOLDS = 4  # nothing, what levels stand on, the gate's explanation, its height


class SetUp(PanelColumn):
    """What goes in; where the window is low, explanations fold before anything scrolls.

    ``done`` tells that a field was filled in with Enter, so that single keys may act again;
    ``given_up`` that what was typed into it shall not count.
    """

    done = Signal()
    given_up = Signal()

    def __init__(self, parent: QWidget | None = None) -> None:
        super().__init__(spacing=_GAP, parent=parent)
        self.specimen = Specimen()
        self.excitation = ExcitationPanel()
        self.will_do = WillDoPanel()
        self.gate = GatePanel()
        for panel in (self.specimen, self.excitation, self.will_do, self.gate):
            self.lines.addWidget(panel)
        self.lines.addStretch(1)

    def keyPressEvent(self, event: QKeyEvent) -> None:
        """Hand the keyboard back after Enter, unless what was typed was refused, and after Esc."""
        focused = QApplication.focusWidget()
        field = focused.parent() if focused is not None else None
        if event.key() in {Qt.Key.Key_Return, Qt.Key.Key_Enter}:
            if not (isinstance(field, Field) and field.is_refused):
                self.done.emit()
        elif event.key() == Qt.Key.Key_Escape and isinstance(field, Field):
            field.box.setModified(False)  # what stands in the procedure may come back
            self.given_up.emit()
            self.done.emit()
        else:
            super().keyPressEvent(event)

    def fit(self) -> None:
        """Fold only what has to: first how things came about, then the height of the gate."""
        for folds in range(_FOLDS):
            self.will_do.set_folded(folded=folds > 0)
            self.gate.set_folded(folded=folds > 1, low=folds > 2)
            self.lines.setSpacing(_GAP if folds < _FOLDS - 1 else _TIGHT)
            if self.wanted() <= self.height():
                break
        super().fit()
