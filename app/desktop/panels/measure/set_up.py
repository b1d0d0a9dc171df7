"""The left column: the unit, the excitation, what it will do, geometry and gate."""

from PySide6.QtWidgets import QWidget

from app.desktop.panels.measure.excitation import ExcitationPanel
from app.desktop.panels.measure.field_column import FieldColumn
from app.desktop.panels.measure.gate import GatePanel
from app.desktop.panels.measure.specimen import Specimen
from app.desktop.panels.measure.will_do import WillDoPanel

_GAP, _TIGHT = 6, 4
_LOW = 2  # folds, from which on panels close up
_FOLDS = 5  # nothing, what levels stand on, the gate's explanation, its height, twice


class SetUp(FieldColumn):
    """What goes in; where the window is low, explanations fold before anything scrolls."""

    def __init__(self, parent: QWidget | None = None) -> None:
        super().__init__(spacing=_GAP, parent=parent)
        self.specimen = Specimen()
        self.excitation = ExcitationPanel()
        self.will_do = WillDoPanel()
        self.gate = GatePanel()
        for panel in (self.specimen, self.excitation, self.will_do, self.gate):
            self.lines.addWidget(panel)
        self.lines.addStretch(1)

    def fit(self) -> None:
        """Fold only what has to: first how things came about, then the height of the gate."""
        for folds in range(_FOLDS):
            self.will_do.set_folded(folded=folds > 0)
            self.gate.set_folded(folded=folds > 1, lower=max(0, folds - 2))
            self.lines.setSpacing(_GAP if folds <= _LOW else _TIGHT)
            if self.wanted() <= self.height():
                break
        super().fit()
