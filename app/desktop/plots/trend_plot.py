"""A figure over its takes or over time: dots with bars, lots with means, limits."""

from collections.abc import Sequence

from PySide6.QtCore import Signal
from PySide6.QtWidgets import QWidget

from app.desktop.plots.frame import Span
from app.desktop.plots.headed_plot import HeadedPlot
from app.desktop.plots.legend import HeadEntry
from app.desktop.plots.ticks import Ticks
from app.desktop.plots.trend_canvas import TrendCanvas
from app.desktop.plots.trend_data import (
    Due,
    NewPoint,
    TrendGroup,
    TrendLimits,
    TrendNote,
    TrendPoints,
)
from app.desktop.plots.trend_scene import TrendScene


class TrendPlot(HeadedPlot):
    """Shows how one figure goes; a press or an arrow chooses a dot."""

    point_pressed = Signal(str)  # key

    def __init__(self, title: str, unit: str, *, parent: QWidget | None = None) -> None:
        self.scene = TrendScene()
        self.canvas = TrendCanvas(self.scene)
        super().__init__(title, unit, canvas=self.canvas, parent=parent)
        self.canvas.point_pressed.connect(self.point_pressed)

    def set_points(self, points: TrendPoints) -> None:
        """Show these figures and no others."""
        self.scene.points = points
        self._told()

    def set_groups(self, groups: Sequence[TrendGroup]) -> None:
        """Part the x axis, with words under its parts."""
        self.scene.groups = tuple(groups)
        self._told()

    def set_ticks(self, places: Sequence[tuple[float, str]]) -> None:
        """Put words under places of the x axis, such as months."""
        self.scene.ticks = Ticks(
            labelled=tuple(place for place, _ in places), words=tuple(word for _, word in places)
        )
        self._told()

    def set_limits(self, limits: TrendLimits | None) -> None:
        """Show limits that hold for every figure."""
        self.scene.limits = limits
        self._told()

    def set_due(self, due: Due | None) -> None:
        """Show from where on the figure is overdue."""
        self.scene.due = due
        self._told()

    def set_new(self, new: NewPoint | None) -> None:
        """Show a figure that isn't kept yet."""
        self.scene.new = new
        self._told()

    def set_notes(self, notes: Sequence[TrendNote]) -> None:
        """Show marks with words."""
        self.scene.notes = tuple(notes)
        self._told()

    def set_entries(self, entries: Sequence[HeadEntry]) -> None:
        """Say what is what, in the head."""
        self.head.set_entries(entries)

    def set_x(self, low: float | None = None, high: float | None = None) -> None:
        """Show this much of the x axis; without values, all there is."""
        self.scene.fixed_x = None if low is None or high is None else Span(low=low, high=high)
        self._told()

    def set_y(self, low: float | None = None, high: float | None = None) -> None:
        """Show this much of the value axis; without values, all there is."""
        self.scene.fixed_y = None if low is None or high is None else Span(low=low, high=high)
        self._told()

    def choose(self, key: str | None) -> None:
        """Ring one dot; says nothing itself."""
        self.scene.chosen = key
        self._told()

    def readout_text(self) -> str:
        """Say in one line what is chosen."""
        said = self.scene.chosen_words
        return f"{self.title}: {said}" if said else self.title

    def table(self) -> str:
        """Return the figures as tab-separated text."""
        points = self.scene.points
        rows = [f"x\t{self.title}, {self.head.unit}\tkey"]
        rows += [
            f"{x:.6g}\t{y:.6g}\t{key}"
            for x, y, key in zip(points.x, points.y, points.keys, strict=True)
        ]
        return "\n".join(rows) + "\n"

    def _put_hint(self, hint: str) -> None:
        self.scene.hint = hint

    def _told(self) -> None:
        self.canvas.setAccessibleDescription(self.readout_text())
        self.canvas.redraw()
