"""The mask on the units, and the margins of all of them below: both seen in one glance."""

from functools import lru_cache

import numpy as np
from PySide6.QtCore import QPointF, QSizeF, QTimer, Signal
from PySide6.QtGui import QImage, QPainter
from PySide6.QtWidgets import QSizePolicy, QVBoxLayout, QWidget

from app.desktop.palette import Tokens
from app.desktop.panels.limits.point_note import PointNote
from app.desktop.plots.dot_plot import DotPlot
from app.desktop.plots.frequency_plot import FrequencyPlot
from app.desktop.plots.lifted import Lifted
from app.desktop.plots.page import image_of, svg_of
from app.desktop.plots.span_plot import SpanPlot
from app.desktop.plots.trend_plot import TrendPlot
from app.measure.rejudge import MaskTrial

Shown = FrequencyPlot | TrendPlot | DotPlot | SpanPlot

_PLOT, _DOTS = 64, 36  # parts of the height
_REST_MS = 20


class UnitsPlot(QWidget):
    """Curves over frequency, or the values of a number, over a dot for each margin."""

    unit_pressed = Signal(str)  # place of the unit in the trial

    def __init__(self, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self.plot = FrequencyPlot("", "")
        self.values = TrendPlot("", "")
        self.dots = DotPlot("Margin", "")
        self.note = PointNote(self.plot)
        self.weighed = SpanPlot("Mistakes", "%")
        self.values.hide()
        self.weighed.hide()
        lines = QVBoxLayout(self)
        lines.setContentsMargins(0, 0, 0, 0)
        lines.setSpacing(8)
        lines.addWidget(self.plot, _PLOT)
        lines.addWidget(self.values, _PLOT)
        lines.addWidget(self.dots, _DOTS)
        lines.addWidget(self.weighed, _DOTS)
        self.setSizePolicy(QSizePolicy.Policy.Expanding, QSizePolicy.Policy.Expanding)
        self.dots.dot_pressed.connect(self.unit_pressed)
        self.values.point_pressed.connect(self.unit_pressed)

    def show_number(self, *, shown: bool) -> None:
        """Show values instead of curves."""
        had_focus = self.plot.canvas.hasFocus() or self.values.canvas.hasFocus()
        self.values.setVisible(shown)
        self.plot.setVisible(not shown)
        self.note.set_visible(shown=not shown)
        if had_focus:
            self.focus_plot()

    def show_weighed(self, *, shown: bool) -> None:
        """Show mistakes over an offset instead of the margins."""
        self.weighed.setVisible(shown)
        self.dots.setVisible(not shown)

    def focus_plot(self) -> None:
        """Give the keyboard to the upper plot."""
        (self.plot if self.values.isHidden() else self.values).setFocus()

    def lift(self, units: dict[int, str]) -> None:
        """Ring units by their place, each with its word, in the colours of overlays."""
        self.dots.lift(
            {
                str(unit): Lifted(take=take, word=word)
                for take, (unit, word) in enumerate(units.items(), start=2)
            }
        )

    def rest_dots(self) -> None:
        """Let the dots be painted after what is painted next: at once both hold the window up."""
        self.dots.setUpdatesEnabled(False)
        QTimer.singleShot(_REST_MS, self.dots, lambda: self.dots.setUpdatesEnabled(True))

    def set_judged(self, result: MaskTrial | None) -> None:
        """Show a dot a unit, as one mask judges it; None: no unit."""
        fails = np.empty(0, dtype=np.bool_) if result is None else result.fails
        self.dots.set_units(
            np.empty(0) if result is None else result.margin,
            _keys(fails.size),
            fails=fails,
            conforms=fails if result is None else result.conforms,
        )

    def table(self) -> str:
        """Return what is shown as tab-separated text, margins below."""
        return "\n".join(plot.table() for plot in self._shown())

    def readout_text(self) -> str:
        """Say what is shown, a line a plot."""
        return "\n".join(plot.readout_text() for plot in self._shown())

    def to_image(self, scale: float = 2.0) -> QImage:
        """Return a picture on light ground."""
        return image_of(self, scale=scale)

    def to_svg(self) -> bytes:
        """Return a drawing on light ground."""
        return svg_of(self)

    def paint_on(self, painter: QPainter, size: QSizeF, tokens: Tokens) -> None:
        """Paint both plots from the origin of any painter, as they stand."""
        del size
        for plot in self._shown():
            painter.save()
            painter.translate(QPointF(plot.pos()))
            plot.paint_on(painter, QSizeF(plot.size()), tokens)
            painter.restore()

    def _shown(self) -> list[Shown]:
        plots: tuple[Shown, ...] = (self.plot, self.values, self.dots, self.weighed)
        return [plot for plot in plots if not plot.isHidden()]


@lru_cache(maxsize=2)
def _keys(count: int) -> tuple[str, ...]:
    """Return the places of so many units as words."""
    return tuple(str(unit) for unit in range(count))
