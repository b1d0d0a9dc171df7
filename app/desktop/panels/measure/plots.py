"""The middle column: plots in one of several views, or what they show as a table."""

from collections.abc import Callable, Mapping

from PySide6.QtCore import QTimer, Signal, Slot
from PySide6.QtGui import QImage
from PySide6.QtWidgets import QStackedWidget, QVBoxLayout, QWidget

from app.desktop.panels.measure.curve_table import CurveTable
from app.desktop.panels.measure.page import Page
from app.desktop.panels.measure.view_page import ViewPage
from app.desktop.plots.frequency_plot import FrequencyPlot
from app.desktop.plots.line import PlotLine
from app.desktop.plots.stack import PlotStack
from app.desktop.plots.time_plot import TimePlot
from app.desktop.presenters.measure_plots import (
    distortion_plot,
    harmonics_plot,
    impedance_plot,
    level_impedance_plot,
    level_plot,
    phase_plot,
)
from app.desktop.presenters.measure_scene import PlotName, PlotState, Scene, View

_PRESENT: Mapping[PlotName, Callable[[Scene], PlotState]] = {
    PlotName.LEVEL: level_plot,
    PlotName.IMPEDANCE: impedance_plot,
    PlotName.DISTORTION: distortion_plot,
    PlotName.LEVEL_IMPEDANCE: level_impedance_plot,
    PlotName.PHASE: phase_plot,
    PlotName.HARMONICS: harmonics_plot,
}
_RIGHT_UNIT = {
    PlotName.LEVEL: "°",
    PlotName.IMPEDANCE: "°",
    PlotName.DISTORTION: "%",
    PlotName.HARMONICS: "%",
    PlotName.LEVEL_IMPEDANCE: "Ω",
}
# Parts of the height, with their heads and the one axis.
_VIEWS: Mapping[View, Mapping[PlotName, int]] = {
    View.APART: {PlotName.LEVEL: 43, PlotName.IMPEDANCE: 26, PlotName.DISTORTION: 31},
    View.TOGETHER: {PlotName.LEVEL_IMPEDANCE: 43, PlotName.PHASE: 26, PlotName.DISTORTION: 31},
    View.DISTORTION: {PlotName.LEVEL: 36, PlotName.HARMONICS: 64},
    View.OVER_LEVEL: {PlotName.LEVEL: 45},
    View.TIME: {PlotName.LEVEL: 60},
}
_LEVELS = frozenset({PlotName.LEVEL, PlotName.LEVEL_IMPEDANCE})
_BELOW = {View.OVER_LEVEL: 55, View.TIME: 40}  # parts of what stands below the linked plots


class Plots(QWidget):
    """Shows a Scene; ``cursor_moved`` (Hz) tells where a person looks, ``view_changed`` (View) how.

    Of another scene each plot is painted in a turn of the event loop of its own, the first one at
    once; whoever asks for a plot, a table or a picture before gets what is due.
    """

    cursor_moved = Signal(float)
    view_changed = Signal(object)

    def __init__(self, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self._scene: Scene | None = None
        self._view = View.APART
        self._hz: float | None = None
        self._bands = False
        self._db_per_decade: float | None = None
        self._view_pages: dict[View, Page] = {}
        self.over_level = FrequencyPlot("Distortion", "", x_unit="V", right_unit="%")
        self.time = TimePlot("Impulse response", "Pa/V, after the arrival")
        self._made: dict[tuple[View, PlotName], FrequencyPlot] = {}
        self._due: list[PlotName] = []  # plots of the view that show an older scene
        self._turn = QTimer(self, singleShot=True, interval=0)
        self._turn.timeout.connect(self._paint_next)
        self._pages = QStackedWidget()
        self._table = CurveTable()
        self._pages.addWidget(self._table)
        lines = QVBoxLayout(self)
        lines.setContentsMargins(0, 0, 0, 0)
        lines.addWidget(self._pages)
        self.set_view(View.APART)

    @property
    def view(self) -> View:
        """What is shown."""
        return self._view

    @property
    def stack(self) -> PlotStack:
        """The plots of the view."""
        self._paint_due()
        return self._page.stack

    @property
    def cursor_hz(self) -> float | None:
        """Where a person put the cursor last, Hz."""
        return self._hz

    @property
    def shows_table(self) -> bool:
        """Whether the curves are shown as numbers."""
        return self._pages.currentWidget() is self._table

    def plot(self, name: PlotName) -> FrequencyPlot | None:
        """Return a plot of the view."""
        self._paint_due()
        return self._made.get((self._view, name))

    def add_view(self, view: View, page: Page) -> None:
        """Have a view that somebody else paints."""
        page.stack.cursor_moved.connect(self._moved)
        self._view_pages[view] = page
        self._pages.addWidget(page)

    def set_view(self, view: View) -> None:
        """Change to another view; the cursor stays."""
        if view not in self._view_pages:
            self._make(view)
        self._view = view
        self._pages.setCurrentWidget(self._view_pages[view])
        self._paint()
        self.view_changed.emit(view)

    def set_scene(self, scene: Scene) -> None:
        """Show other takes."""
        self._scene = scene
        self._paint()

    def set_live(self, lines: Mapping[PlotName, PlotLine]) -> None:
        """Show growing curves; none ends it."""
        for name in _VIEWS.get(self._view, {}):
            line = lines.get(name)
            self._made[self._view, name].set_live(*([line] if line is not None else []))

    def set_cursor(self, hz: float | None, words: str = "") -> None:
        """Put the cursor somewhere; tells nobody. With words it is not a person's, and passes."""
        if not words:
            self._hz = hz
        self._page.set_cursor(hz, words)

    def show_bands(self, *, shown: bool) -> None:
        """Show or hide intervals."""
        self._bands = shown
        for plot in self._made.values():
            plot.show_bands(shown)

    def set_db_per_decade(self, db: float | None) -> None:
        """Keep proportions of IEC 60263 where a level is shown, or let them go."""
        self._db_per_decade = db
        for (_, name), plot in self._made.items():
            if name in _LEVELS:
                plot.set_db_per_decade(db)

    def whole_range(self) -> None:
        """Show the whole frequency range."""
        self.stack.whole_range()

    def show_instead(self, widget: QWidget) -> None:
        """Show something else in place of the view until the next one, or that again."""
        if self._pages.currentWidget() is widget:
            self._pages.setCurrentWidget(self._view_pages[self._view])
            return
        if self._pages.indexOf(widget) < 0:
            self._pages.addWidget(widget)
        self._pages.setCurrentWidget(widget)

    def show_table(self, *, shown: bool) -> None:
        """Show the curves as numbers, or as plots again."""
        if shown:
            self._table.set_text(self.table())
        self._pages.setCurrentWidget(self._table if shown else self._view_pages[self._view])

    def table(self) -> str:
        """Return all that is shown as tab-separated text."""
        self._paint_due()
        return self._page.table()

    def readout_text(self) -> str:
        """Say what stands at the cursor."""
        self._paint_due()
        return self._page.readout_text()

    def copied(self) -> str:
        """Return what Copy puts on the clipboard."""
        self._paint_due()
        return self._page.copied()

    @property
    def copied_words(self) -> str:
        """What is said then."""
        return self._page.copied_words

    def to_image(self) -> QImage:
        """Return a picture of what is shown, on light ground."""
        self._paint_due()
        return self._page.to_image()

    def to_svg(self) -> bytes:
        """Return a drawing of what is shown, on light ground."""
        self._paint_due()
        return self._page.to_svg()

    @property
    def _page(self) -> Page:
        return self._view_pages[self._view]

    def _make(self, view: View) -> None:
        parts = _VIEWS[view]
        plots = [
            FrequencyPlot(name.value, "", right_unit=_RIGHT_UNIT.get(name, "")) for name in parts
        ]
        for name, plot in zip(parts, plots, strict=True):
            plot.show_bands(self._bands)
            self._made[view, name] = plot
        stack = PlotStack(plots, list(parts.values()))
        self.set_db_per_decade(self._db_per_decade)
        parted = (sum(parts.values()), _BELOW.get(view, 0))
        self.add_view(view, ViewPage(stack, self._below(view), parts=parted))

    def _below(self, view: View) -> FrequencyPlot | TimePlot | None:
        if view is View.OVER_LEVEL:
            return self.over_level
        return self.time if view is View.TIME else None

    def _moved(self, hz: float) -> None:
        self._hz = hz
        self.cursor_moved.emit(hz)

    def _paint(self) -> None:
        parts = _VIEWS.get(self._view)
        if parts is None:
            self._due = []
            self._page.set_cursor(self._hz)
            return
        self._due = [] if self._scene is None else list(parts)
        self._paint_next()

    @Slot()
    def _paint_next(self) -> None:
        if self._scene is None or not self._due:
            return
        name = self._due.pop(0)
        state, plot = _PRESENT[name](self._scene), self._made[self._view, name]
        plot.scene.right_unit = "" if state.is_difference else _RIGHT_UNIT.get(name, "")
        _show(plot, state, title=name.value)
        if not self._scene.is_playing:
            plot.set_live()
        if self._due:
            self._turn.start()
            return
        self._page.stack.align()
        self._page.stack.set_cursor(self._hz)
        if self.shows_table:
            self._table.set_text(self.table())

    def _paint_due(self) -> None:
        while self._due:
            self._paint_next()


def _show(plot: FrequencyPlot, state: PlotState, *, title: str) -> None:
    plot.set_words(title, state.unit)
    plot.set_hint(state.hint)
    plot.head.set_mark(state.mark)
    low, high = state.y or (None, None)
    plot.set_y(low, high)
    plot.set_lines(state.lines)
    plot.set_masks(state.masks)
    plot.set_notes(state.notes)
    valid, plan = state.valid, state.planned_from_hz
    if valid is not None:
        plot.set_valid(valid.low_hz, valid.high_hz, valid.low_reason, high_reason=valid.high_reason)
    else:
        plot.set_valid(plan, None, "gate", planned=True)
