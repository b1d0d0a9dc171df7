"""Plots one above the other: one frequency axis, one cursor through all."""

from collections.abc import Sequence

from PySide6.QtCore import QPointF, QSizeF, Signal
from PySide6.QtGui import QImage, QPainter
from PySide6.QtWidgets import QVBoxLayout, QWidget

from app.desktop.palette import Tokens
from app.desktop.plots.frequency_plot import FrequencyPlot
from app.desktop.plots.frequency_scene import NO_RIGHT, RIGHT
from app.desktop.plots.page import image_of, svg_of
from app.desktop.plots.table import table_of
from app.desktop.plots.x_range import XRange

_SPACING = 6


class PlotStack(QWidget):
    """Links plots over frequency; words stand under the last shown, the flag in the first.

    Parameters
    ----------
    plots : sequence of FrequencyPlot
        From the top.
    stretch : sequence of int
        Parts of the height.
    """

    cursor_moved = Signal(float)  # Hz

    def __init__(
        self,
        plots: Sequence[FrequencyPlot],
        stretch: Sequence[int],
        parent: QWidget | None = None,
    ) -> None:
        super().__init__(parent)
        self.plots = tuple(plots)
        self._x_range = XRange(parent=self)
        layout = QVBoxLayout(self)
        layout.setContentsMargins(0, 0, 0, 0)
        layout.setSpacing(_SPACING)
        for plot, part in zip(plots, stretch, strict=True):
            plot.canvas.share(self._x_range)
            plot.cursor_moved.connect(self._moved)
            layout.addWidget(plot, part)
        self.align()

    @property
    def cursor_hz(self) -> float | None:
        """Where the cursor stands, Hz."""
        return self.plots[0].cursor_hz

    def show_plot(self, index: int, *, shown: bool) -> None:
        """Show or hide one of the plots."""
        self.plots[index].setVisible(shown)
        self.align()

    def align(self) -> None:
        """Give all the same gutters, the words to the last and the flag to the first shown."""
        shown = [plot for plot in self.plots if not plot.isHidden()]
        wants_right = any(plot.scene.wants_right_gutter for plot in shown)
        for plot in shown:
            scene = plot.scene
            before = scene.right_gutter, scene.has_flag, scene.has_x_words
            now = RIGHT if wants_right else NO_RIGHT, plot is shown[0], plot is shown[-1]
            if now != before:  # its curves are painted anew, which takes long
                scene.right_gutter, scene.has_flag, scene.has_x_words = now
                plot.canvas.redraw()

    def set_cursor(self, hz: float | None, words: str = "") -> None:
        """Put the cursor to a frequency in all plots; says nothing itself."""
        for plot in self.plots:
            plot.mark(hz, words)

    def whole_range(self) -> None:
        """Show the whole frequency range, and the values as before any zoom."""
        for plot in self.plots:
            plot.show_whole()

    def set_hz_range(self, low: float, high: float) -> None:
        """Change the whole frequency range, Hz."""
        self._x_range.set_whole(low, high)

    def set_db_per_decade(self, db: float | None) -> None:
        """Keep proportions of IEC 60263 in all level plots: 50, 25, or None for none."""
        for plot in self.plots:
            plot.set_db_per_decade(db)

    def readout_text(self) -> str:
        """Say what stands at the cursor, a line a plot."""
        return "\n".join(plot.readout_text() for plot in self._shown())

    def table(self) -> str:
        """Return all that is shown as tab-separated text."""
        return table_of(self._shown())

    def to_image(self, scale: float = 2.0) -> QImage:
        """Return a picture on light ground."""
        return image_of(self, scale=scale)

    def to_svg(self) -> bytes:
        """Return a drawing on light ground."""
        return svg_of(self)

    def paint_on(self, painter: QPainter, size: QSizeF, tokens: Tokens) -> None:
        """Paint all plots from the origin of any painter, as they stand."""
        del size
        for plot in self._shown():
            painter.save()
            painter.translate(QPointF(plot.pos()))
            plot.paint_on(painter, QSizeF(plot.size()), tokens)
            painter.restore()

    def _shown(self) -> list[FrequencyPlot]:
        return [plot for plot in self.plots if not plot.isHidden()]

    def _moved(self, hz: float) -> None:
        self.set_cursor(hz)
        self.cursor_moved.emit(hz)
