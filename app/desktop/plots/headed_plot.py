"""What every plot is: a head, the area below it, and a way out onto paper."""

from PySide6.QtCore import QSizeF
from PySide6.QtGui import QImage, QPainter, QShowEvent
from PySide6.QtWidgets import QVBoxLayout, QWidget

from app.desktop.palette import Tokens
from app.desktop.plots.canvas import Canvas
from app.desktop.plots.head import HEIGHT, PlotHead
from app.desktop.plots.page import image_of, svg_of
from app.desktop.presenters.mark import Mark
from app.desktop.told import told


class HeadedPlot(QWidget):
    """A head over a canvas; the keyboard goes to the canvas."""

    def __init__(
        self, title: str, unit: str, *, canvas: Canvas, parent: QWidget | None = None
    ) -> None:
        super().__init__(parent)
        self.head = PlotHead(title, unit)
        self._area, self._hint = canvas, ""
        layout = QVBoxLayout(self)
        layout.setContentsMargins(0, 0, 0, 0)
        layout.setSpacing(0)
        layout.addWidget(self.head)
        layout.addWidget(canvas, 1)
        self.setFocusProxy(canvas)
        self._name_it()

    @property
    def title(self) -> str:
        """What is shown."""
        return self.head.title

    def set_words(self, title: str, unit: str) -> None:
        """Change title and unit."""
        self.head.set_words(title, unit)
        self._name_it()

    def set_hint(self, text: str) -> None:
        """Say what will appear, as long as there is nothing."""
        self._hint = text
        self.retell()

    def retell(self) -> None:
        """Say the same: a key that it names may be another one by now."""
        self._put_hint(told(self, self._hint))
        self._area.update()

    def showEvent(self, event: QShowEvent) -> None:
        """Name the keys of the window that it has come to."""
        self.retell()
        super().showEvent(event)

    def set_stale(self, stale: bool) -> None:  # noqa: FBT001 - a switch, as Qt's setters
        """Mark that what is shown stands on something overdue."""
        self.head.set_mark(Mark.STALE if stale else None)
        self._name_it()

    def readout_text(self) -> str:
        """Say in one line what is shown."""
        return self.title

    def to_image(self, scale: float = 2.0) -> QImage:
        """Return a picture on light ground."""
        return image_of(self, scale=scale)

    def to_svg(self) -> bytes:
        """Return a drawing on light ground."""
        return svg_of(self)

    def paint_on(self, painter: QPainter, size: QSizeF, tokens: Tokens) -> None:
        """Paint head and area from the origin of any painter."""
        height = 0 if self.head.isHidden() else HEIGHT
        if height:
            self.head.paint_on(painter, width=size.width(), tokens=tokens)
        painter.save()
        painter.translate(0, height)
        self._area.paint_on(painter, QSizeF(size.width(), size.height() - height), tokens)
        painter.restore()

    def _put_hint(self, hint: str) -> None:
        raise NotImplementedError

    def _name_it(self) -> None:
        parts = [self.head.title, self.head.unit, self.head.mark.value if self.head.mark else ""]
        self._area.setAccessibleName(", ".join(part for part in parts if part))
