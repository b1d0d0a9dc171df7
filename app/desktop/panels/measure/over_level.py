"""Distortion of the shown take's unit over the voltage that drove it, at the cursor's frequency."""

from PySide6.QtCore import QObject

from app.desktop.bench import Bench
from app.desktop.plots.frequency_plot import FrequencyPlot
from app.desktop.presenters.measure_over_level import (
    DEFAULT_HZ,
    drive_axis,
    over_level_plot,
    over_level_title,
)
from app.measure.over_level import OverLevel, over_level, takes_over_level
from app.records.take import Take


class OverLevelView(QObject):
    """Feeds the plot; its takes are fetched in the worker once for each unit and procedure."""

    def __init__(self, bench: Bench, plot: FrequencyPlot, parent: QObject | None = None) -> None:
        super().__init__(parent)
        self._bench, self._plot = bench, plot
        self._takes: tuple[Take, ...] = ()
        self._hz = DEFAULT_HZ
        self._show(None)

    def find(self, take: Take | None) -> None:
        """Look for takes of the same unit by the same procedure."""
        if take is None or take.unit is None:
            self._found(())
            return
        store, unit, procedure = self._bench.store, take.unit, take.procedure.name
        self._bench.worker.ask(
            "takes over level",
            lambda: takes_over_level(store, unit=unit, procedure=procedure),
            then=self._found,
            refused=lambda _: self._found(()),
        )

    def go_to(self, hz: float | None) -> None:
        """Read at another frequency."""
        self._hz = hz or DEFAULT_HZ
        self._show(over_level(self._takes, frequency_hz=self._hz) if self._takes else None)

    def _found(self, takes: tuple[Take, ...]) -> None:
        self._takes = takes
        self.go_to(self._hz)

    def _show(self, over: OverLevel | None) -> None:
        plot, state = self._plot, over_level_plot(over)
        plot.set_words(over_level_title(self._hz), state.unit)
        plot.set_hint(state.hint)
        plot.set_hz_range(*drive_axis(over))
        low, high = state.y or (None, None)
        plot.set_y(low, high)
        plot.set_lines(state.lines)
