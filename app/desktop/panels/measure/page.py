"""What every view of the middle column is: linked plots, perhaps others beside them."""

from collections.abc import Sequence
from typing import Protocol

from PySide6.QtCore import QPoint, QPointF, QSize, QSizeF
from PySide6.QtGui import QImage, QPainter
from PySide6.QtWidgets import QWidget

from app.desktop.palette import Tokens
from app.desktop.plots.page import image_of, svg_of
from app.desktop.plots.stack import PlotStack


class Part(Protocol):
    """A plot, or several, of a view."""

    def pos(self) -> QPoint:
        """Return its place in the view, px."""
        ...

    def size(self) -> QSize:
        """Return its size, px."""
        ...

    def readout_text(self) -> str:
        """Say what stands at the cursor."""
        ...

    def table(self) -> str:
        """Return what it shows as tab-separated text."""
        ...

    def paint_on(self, painter: QPainter, size: QSizeF, tokens: Tokens) -> None:
        """Paint it from the origin of any painter."""
        ...


class Page(QWidget):
    """Shows, copies and exports all of a view; a class of it lays its parts out.

    Parameters
    ----------
    stack : PlotStack
        Its plots over frequency.
    others : sequence of Part
        Its other plots.
    """

    copied_words = "The curves are on the clipboard as a table."

    def __init__(
        self, stack: PlotStack, *, others: Sequence[Part] = (), parent: QWidget | None = None
    ) -> None:
        super().__init__(parent)
        self.stack = stack
        self._parts: tuple[Part, ...] = (stack, *others)

    def set_cursor(self, hz: float | None, words: str = "") -> None:
        """Put the cursor to a frequency in all plots over it."""
        self.stack.set_cursor(hz, words)

    def readout_text(self) -> str:
        """Say what stands at the cursor, a line a plot."""
        return "\n".join(part.readout_text() for part in self._parts)

    def table(self) -> str:
        """Return all that is shown as tab-separated text; what is apart after an empty line."""
        return "\n".join(part.table() for part in self._parts)

    def copied(self) -> str:
        """Return what Copy puts on the clipboard."""
        return self.table()

    def to_image(self, scale: float = 2.0) -> QImage:
        """Return a picture on light ground."""
        return image_of(self, scale=scale)

    def to_svg(self) -> bytes:
        """Return a drawing on light ground."""
        return svg_of(self)

    def paint_on(self, painter: QPainter, size: QSizeF, tokens: Tokens) -> None:
        """Paint everything from the origin of any painter, as it stands."""
        del size
        for part in self._parts:
            painter.save()
            painter.translate(QPointF(part.pos()))
            part.paint_on(painter, QSizeF(part.size()), tokens)
            painter.restore()
