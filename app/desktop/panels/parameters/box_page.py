"""The middle column of a box: level, excursion, air in the vent, impedance."""

from PySide6.QtWidgets import QVBoxLayout, QWidget

from app.desktop.panels.measure.page import Page
from app.desktop.plots.frequency_plot import FrequencyPlot
from app.desktop.plots.stack import PlotStack
from app.desktop.presenters.measure_scene import PlotState

_PARTS = (44, 28, 28, 28)
_VENT, _IMPEDANCE = 2, 3


class BoxPage(Page):
    """Of the last two plots one is shown: a vented box has its vent, a closed one its impedance."""

    copied_words = "The predicted curves are on the clipboard as a table."

    def __init__(self, parent: QWidget | None = None) -> None:
        level = FrequencyPlot("Predicted level", "dB")
        excursion = FrequencyPlot("Excursion", "mm, peak")
        vent = FrequencyPlot("Air in the vent", "m/s, peak")
        impedance = FrequencyPlot("Impedance", "Ω")
        stack = PlotStack((level, excursion, vent, impedance), _PARTS)
        super().__init__(stack, parent=parent)
        self.level, self.excursion, self.vent, self.impedance = level, excursion, vent, impedance
        lines = QVBoxLayout(self)
        lines.setContentsMargins(0, 0, 0, 0)
        lines.addWidget(stack)
        self.show_vent(shown=False)

    def show_vent(self, *, shown: bool) -> None:
        """Show the vent, or the impedance in its place."""
        self.stack.show_plot(_VENT, shown=shown)
        self.stack.show_plot(_IMPEDANCE, shown=not shown)

    def show_plot(self, plot: FrequencyPlot, state: PlotState) -> None:
        """Show another prediction."""
        plot.set_words(plot.title, state.unit)
        plot.set_hint(state.hint)
        low, high = state.y or (None, None)
        plot.set_y(low, high)
        plot.set_lines(state.lines)
        valid = state.valid
        plot.set_valid(
            None,
            None if valid is None else valid.high_hz,
            high_reason="" if valid is None else valid.high_reason,
        )
