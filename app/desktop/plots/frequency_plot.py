"""A plot over frequency: head with legend and readout, and the area below it."""

from collections.abc import Sequence

from PySide6.QtCore import Signal
from PySide6.QtWidgets import QWidget

from app.desktop.plots.frame import Span
from app.desktop.plots.frequency_canvas import FrequencyCanvas
from app.desktop.plots.frequency_scene import FrequencyScene
from app.desktop.plots.headed_plot import HeadedPlot
from app.desktop.plots.legend import entries
from app.desktop.plots.line import PlotLine
from app.desktop.plots.mask import PlotMask
from app.desktop.plots.note import PlotNote
from app.desktop.plots.shade import PlotShade
from app.desktop.plots.spread import PlotSpread
from app.desktop.plots.table import table_of
from app.desktop.plots.valid import Validity
from app.desktop.plots.x_range import XRange
from app.report.units import short_unit


class FrequencyPlot(HeadedPlot):
    """Shows lines, masks and a spread over log frequency; keeps no truth of its own.

    While a mask point is dragged the plot shows it under the pointer at once and says so; what
    ``set_masks`` brings then takes its place.

    Parameters
    ----------
    title, unit : str
        In the head. A unit that begins with dB makes a level plot: it can keep the proportions
        of IEC 60263.
    x_unit : str
        ``Hz``; another one where the plot is over something else, on the same logarithmic axis.
    right_unit : str
        Of the lines with ``right``. ``°`` makes a phase axis, symmetric; ``%`` shares the left
        axis, which is in dB; any other has a span of its own; empty: no right axis.
    """

    cursor_moved = Signal(float)  # Hz
    point_pressed = Signal(str, int)  # mask, index
    point_dragged = Signal(str, int, float, float)  # mask, index, Hz, value
    point_released = Signal(str, int)
    segment_double_clicked = Signal(str, float, float)  # mask, Hz, value

    def __init__(
        self,
        title: str,
        unit: str,
        *,
        x_unit: str = "Hz",
        right_unit: str = "",
        parent: QWidget | None = None,
    ) -> None:
        self.scene = FrequencyScene(unit=unit, x_unit=x_unit, right_unit=right_unit)
        self.scene.fit_axes()
        self.canvas = FrequencyCanvas(self.scene, XRange())
        super().__init__(title, unit, canvas=self.canvas, parent=parent)
        self._lines: tuple[PlotLine, ...] = ()
        self._live: tuple[PlotLine, ...] = ()
        self.canvas.cursor_moved.connect(self._moved)
        self.canvas.point_pressed.connect(self.point_pressed)
        self.canvas.point_dragged.connect(self.point_dragged)
        self.canvas.point_released.connect(self.point_released)
        self.canvas.segment_double_clicked.connect(self.segment_double_clicked)

    @property
    def lines(self) -> tuple[PlotLine, ...]:
        """The curves."""
        return self._lines

    @property
    def masks(self) -> tuple[PlotMask, ...]:
        """The limits as they are shown, a point under the pointer included."""
        return self.scene.masks

    @property
    def cursor_hz(self) -> float | None:
        """Where the cursor stands, Hz."""
        return self.scene.cursor_hz

    def unit_of(self, line: PlotLine) -> str:
        """Return the short unit of a line: its own, or that of the axis at which it is read."""
        right = self.scene.right_unit
        # Per cent at the right stand at a left axis in dB, as the values do.
        axis = right if line.right and right != "%" else self.scene.unit
        return short_unit(line.unit or axis)

    def set_words(self, title: str, unit: str) -> None:
        """Change title and unit."""
        super().set_words(title, unit)
        self.scene.unit = unit
        self._refit()

    def set_per_cent(self, *, is_per_cent: bool) -> None:
        """Say whether the left axis is in dB re 100 %, and written as per cent."""
        self.scene.is_per_cent = is_per_cent
        self.canvas.redraw()

    def set_lines(self, lines: Sequence[PlotLine]) -> None:
        """Show these curves and no others; the first is the one whose extrema the keys find."""
        self._lines = tuple(lines)
        self.scene.set_lines(self._lines)
        self._refit()

    def set_live(self, *lines: PlotLine) -> None:
        """Show these growing curves over all else, cheaply; none ends it."""
        begins_or_ends = bool(lines) != bool(self._live)
        self._live = tuple(lines)
        self.scene.live = self.scene.prepared(self._live)
        if begins_or_ends or self.scene.is_outgrown:
            self._refit()  # it redraws: intervals are off meanwhile
        else:
            self._tell()
            self.canvas.update()

    def set_masks(self, masks: Sequence[PlotMask]) -> None:
        """Show these limits and no others."""
        self.scene.masks = tuple(masks)
        if self.canvas.is_dragging:
            # The axis stands still under a hand.
            self.canvas.update()
        else:
            self._refit()

    def set_spread(self, spread: PlotSpread | None) -> None:
        """Show what stored units have in common."""
        self.scene.spread = spread
        self._refit()

    def set_notes(self, notes: Sequence[PlotNote]) -> None:
        """Show these words at their places."""
        self.scene.notes = tuple(notes)
        self.canvas.update()

    def set_shades(self, shades: Sequence[PlotShade]) -> None:
        """Shade these spans and no others."""
        self.scene.shades = tuple(shades)
        self.canvas.redraw()

    def set_valid(
        self,
        low: float | None,
        high: float | None,
        reason: str = "",
        *,
        high_reason: str = "",
        planned: bool = False,
    ) -> None:
        """Say where the plot may be believed, Hz; None at an end that nothing limits.

        ``planned``: with the present setting, nothing being measured yet. Without a call, the
        range is the chosen take's own.
        """
        self.scene.own_validity = Validity(
            low=low, high=high, reason=reason, high_reason=high_reason, planned=planned
        )
        self.canvas.redraw()

    def set_y(self, low: float | None = None, high: float | None = None) -> None:
        """Show this much of the left axis; without values, all there is."""
        fixed = None if low is None or high is None else Span(low=low, high=high)
        if fixed != self.scene.fixed_y:
            self.scene.fixed_y = fixed
            self.canvas.redraw()

    def set_db_per_decade(self, db: float | None) -> None:
        """Keep proportions of IEC 60263: a decade as long as ``db``; None lets them go."""
        self.scene.db_per_decade = db
        self.scene.zoomed_y = None
        self.canvas.redraw()

    def show_bands(self, shown: bool) -> None:  # noqa: FBT001 - a switch
        """Show or hide intervals."""
        self.scene.shows_bands = shown
        self.canvas.redraw()

    def show_whole(self) -> None:
        """Show the whole frequency range, and the values as before any zoom."""
        self.scene.zoomed_y = None
        self.canvas.redraw()
        self.canvas.x_range.show_whole()

    def set_hz_range(self, low: float, high: float) -> None:
        """Change the whole frequency range, Hz."""
        self.canvas.x_range.set_whole(low, high)

    def mark(self, hz: float | None, words: str = "") -> None:
        """Put the cursor to a frequency, with words of its own in its flag; None takes it away."""
        self.scene.cursor_hz = hz
        self.scene.cursor_words = words
        self._tell()
        self.canvas.update()

    def readout_text(self) -> str:
        """Say in one line what stands at the cursor."""
        at = self.scene.cursor_hz
        told = [f"{entry.name} {entry.value}" for entry in self.head.entries if entry.value]
        where = f"{self.title} at {self.scene.x_words(at)}" if at else self.title
        return f"{where}: {', '.join(told)}" if told else where

    def table(self) -> str:
        """Return what is shown as tab-separated text."""
        first = "Frequency, Hz" if self.scene.x_unit == "Hz" else f"Drive, {self.scene.x_unit}"
        return table_of([self], first=first)

    def _put_hint(self, hint: str) -> None:
        self.scene.hint = hint

    def _moved(self, hz: float) -> None:
        self.mark(hz)
        self.cursor_moved.emit(hz)

    def _refit(self) -> None:
        self.scene.fit_axes()
        self._tell()
        self.canvas.redraw()

    def _tell(self) -> None:
        scene = self.scene
        made = entries(
            self._lines,
            live=self._live,
            masks=scene.masks,
            spread=scene.spread,
            at=scene.cursor_hz,
        )
        self.head.set_entries(made)
        self.canvas.setAccessibleDescription(self.readout_text())
