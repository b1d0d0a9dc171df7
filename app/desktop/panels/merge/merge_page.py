"""The middle column of a merge: all three levels, how far both fields agree, the phase."""

from PySide6.QtWidgets import QVBoxLayout, QWidget

from app.desktop.panels.measure.page import Page
from app.desktop.plots.frequency_plot import FrequencyPlot
from app.desktop.plots.stack import PlotStack
from app.desktop.presenters.measure_scene import PlotState

_PARTS = (54, 22, 24)


class MergePage(Page):
    """Level, difference and phase over one axis."""

    copied_words = "Merged, near and far field are on the clipboard as a table."

    def __init__(self, parent: QWidget | None = None) -> None:
        level = FrequencyPlot("Level", "dB")
        difference = FrequencyPlot("Far less near field", "dB")
        phase = FrequencyPlot("Phase", "°")
        stack = PlotStack((level, difference, phase), _PARTS)
        super().__init__(stack, parent=parent)
        self.level, self.difference, self.phase = level, difference, phase
        lines = QVBoxLayout(self)
        lines.setContentsMargins(0, 0, 0, 0)
        lines.addWidget(stack)

    def show_plot(self, plot: FrequencyPlot, state: PlotState) -> None:
        """Show another merge."""
        plot.set_words(plot.title, state.unit)
        plot.set_hint(state.hint)
        low, high = state.y or (None, None)
        plot.set_y(low, high)
        plot.set_lines(state.lines)
        plot.set_masks(state.masks)
        plot.set_shades(state.shades)
        valid = state.valid
        if valid is None:
            plot.set_valid(None, None)
        else:
            plot.set_valid(
                valid.low_hz, valid.high_hz, valid.low_reason, high_reason=valid.high_reason
            )
