"""The middle column of a ladder: compression over frequency, and parameters over the drive."""

from PySide6.QtWidgets import QHBoxLayout, QVBoxLayout, QWidget

from app.desktop.panels.measure.page import Page
from app.desktop.plots.frequency_plot import FrequencyPlot
from app.desktop.plots.stack import PlotStack
from app.desktop.presenters.ladder import LadderState
from app.desktop.presenters.measure_scene import PlotState

_APART = 10
_OVER_HZ, _OVER_V = 50, 50  # parts of the height


class LadderPage(Page):
    """Compression above; fs, Qts and the ratios side by side below it, over V rms."""

    copied_words = "Compression and parameters over the drive are on the clipboard as tables."

    def __init__(self, parent: QWidget | None = None) -> None:
        compression = FrequencyPlot("Compression", "dB")
        stack = PlotStack((compression,), (1,))
        resonance, qts, ratios = (
            FrequencyPlot(title, "", x_unit="V") for title in ("fs", "Qts", "Cms, Bl")
        )
        super().__init__(stack, others=(resonance, qts, ratios), parent=parent)
        self.compression, self.resonance, self.qts = compression, resonance, qts
        self.ratios = ratios
        below = QHBoxLayout()
        below.setSpacing(_APART)
        for plot in (resonance, qts, ratios):
            below.addWidget(plot, 1)
        lines = QVBoxLayout(self)
        lines.setContentsMargins(0, 0, 0, 0)
        lines.setSpacing(_APART)
        lines.addWidget(stack, _OVER_HZ)
        lines.addLayout(below, _OVER_V)

    def set_state(self, state: LadderState) -> None:
        """Show another ladder."""
        _show(self.compression, state.compression)
        for plot, over in (
            (self.resonance, state.resonance),
            (self.qts, state.qts),
            (self.ratios, state.ratios),
        ):
            plot.set_hz_range(*state.drive)
            _show(plot, over)


def _show(plot: FrequencyPlot, state: PlotState) -> None:
    plot.set_words(plot.title, state.unit)
    plot.set_hint(state.hint)
    low, high = state.y or (None, None)
    plot.set_y(low, high)
    plot.set_lines(state.lines)
