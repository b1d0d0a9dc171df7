"""Two takes over frequency: their curves on one plot, or one less the other."""

from PySide6.QtCore import Signal
from PySide6.QtWidgets import QHBoxLayout, QVBoxLayout, QWidget

from app.desktop.controls.check import Check
from app.desktop.controls.choice import Choice
from app.desktop.plots.frequency_plot import FrequencyPlot
from app.desktop.plots.stack import PlotStack
from app.desktop.presenters.records_curves import CurvesState, curves_state, offered_curves
from app.records.record import Record

_CHOICE = 150  # px


class CompareView(QWidget):
    """Takes the place of the trend while two takes are compared; ``changed`` with every curve."""

    changed = Signal()

    def __init__(self, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self._pair: tuple[Record, Record] | None = None
        self.plot = FrequencyPlot("Level", "dB")
        self.stack = PlotStack([self.plot], [1])
        self.choice = Choice("Curve that is compared")
        self.choice.setFixedWidth(_CHOICE)
        self.choice.chosen.connect(self._present)
        self.difference = Check("difference")
        self.difference.toggled.connect(self._present)
        foot = QHBoxLayout()
        foot.setContentsMargins(0, 4, 0, 0)
        foot.setSpacing(12)
        foot.addStretch(1)
        foot.addWidget(self.difference)
        foot.addWidget(self.choice)
        lines = QVBoxLayout(self)
        lines.setContentsMargins(0, 0, 0, 0)
        lines.setSpacing(0)
        lines.addWidget(self.stack, 1)
        lines.addLayout(foot)

    def set_pair(self, old: Record, new: Record) -> None:
        """Show two takes; the curve that was looked at stays chosen."""
        self._pair = (old, new)
        self.choice.set_options(offered_curves(old, new))
        self._present()

    def go_to(self, name: str) -> None:
        """Show another curve of the two."""
        self.choice.set_key(name)
        self._present()

    def _present(self, *_: object) -> None:
        if self._pair is None:
            return
        old, new = self._pair
        state = curves_state(
            old, new, name=self.choice.key(), difference=self.difference.isChecked()
        )
        self._show(state)
        self.changed.emit()

    def _show(self, state: CurvesState) -> None:
        self.plot.set_words(state.title, state.unit)
        self.plot.set_hint(state.hint)
        self.plot.set_masks(state.masks)
        self.plot.set_lines(state.lines)
        self.stack.align()
