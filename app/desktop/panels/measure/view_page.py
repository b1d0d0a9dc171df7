"""One view of the middle column: linked plots, and perhaps one of another kind below them."""

from PySide6.QtWidgets import QVBoxLayout, QWidget

from app.desktop.panels.measure.page import Page
from app.desktop.plots.frequency_plot import FrequencyPlot
from app.desktop.plots.stack import PlotStack
from app.desktop.plots.time_plot import TimePlot

_APART = 6


class ViewPage(Page):
    """Lays them out.

    Parameters
    ----------
    stack : PlotStack
        From the top.
    below : FrequencyPlot, TimePlot or None
        Over something else than frequency.
    parts : (int, int)
        Of the height.
    """

    def __init__(
        self,
        stack: PlotStack,
        below: FrequencyPlot | TimePlot | None = None,
        *,
        parts: tuple[int, int] = (1, 0),
        parent: QWidget | None = None,
    ) -> None:
        super().__init__(stack, others=() if below is None else (below,), parent=parent)
        lines = QVBoxLayout(self)
        lines.setContentsMargins(0, 0, 0, 0)
        lines.setSpacing(_APART)
        lines.addWidget(stack, parts[0])
        if below is not None:
            lines.addWidget(below, parts[1])
