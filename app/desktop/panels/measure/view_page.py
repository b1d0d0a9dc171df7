"""One view of the middle column: linked plots, and perhaps one of another kind below them."""

from PySide6.QtCore import QPointF, QSizeF
from PySide6.QtGui import QImage, QPainter
from PySide6.QtWidgets import QVBoxLayout, QWidget

from app.desktop.palette import Tokens
from app.desktop.plots.frequency_plot import FrequencyPlot
from app.desktop.plots.page import image_of, svg_of
from app.desktop.plots.stack import PlotStack
from app.desktop.plots.time_plot import TimePlot

_APART = 6


class ViewPage(QWidget):
    """Shows, copies and exports all of a view.

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
        super().__init__(parent)
        self.stack, self.below = stack, below
        lines = QVBoxLayout(self)
        lines.setContentsMargins(0, 0, 0, 0)
        lines.setSpacing(_APART)
        lines.addWidget(stack, parts[0])
        if below is not None:
            lines.addWidget(below, parts[1])

    def readout_text(self) -> str:
        """Say what stands at the cursor, a line a plot."""
        if self.below is None:
            return self.stack.readout_text()
        return f"{self.stack.readout_text()}\n{self.below.readout_text()}"

    def table(self) -> str:
        """Return all that is shown as tab-separated text; what stands below after an empty line."""
        if self.below is None:
            return self.stack.table()
        return f"{self.stack.table()}\n{self.below.table()}"

    def to_image(self, scale: float = 2.0) -> QImage:
        """Return a picture on light ground."""
        return image_of(self, scale=scale)

    def to_svg(self) -> bytes:
        """Return a drawing on light ground."""
        return svg_of(self)

    def paint_on(self, painter: QPainter, size: QSizeF, tokens: Tokens) -> None:
        """Paint everything from the origin of any painter, as it stands."""
        del size
        for part in (self.stack, self.below):
            if part is None:
                continue
            painter.save()
            painter.translate(QPointF(part.pos()))
            part.paint_on(painter, QSizeF(part.size()), tokens)
            painter.restore()
