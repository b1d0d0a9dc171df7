"""The ground that all plots share: what stands still is kept as a picture, the rest is painted."""

from PySide6.QtCore import QEvent, QRectF, QSizeF, Qt
from PySide6.QtGui import QFocusEvent, QPainter, QPaintEvent, QPixmap, QResizeEvent
from PySide6.QtWidgets import QSizePolicy, QWidget

from app.desktop.palette import Tokens, tokens_of
from app.desktop.plots.grid import paint_paper, paint_ring

_STILL = {
    QEvent.Type.PaletteChange,
    QEvent.Type.StyleChange,
    QEvent.Type.FontChange,
}


_BY_KEY = {
    Qt.FocusReason.TabFocusReason,
    Qt.FocusReason.BacktabFocusReason,
    Qt.FocusReason.ShortcutFocusReason,
}


class Canvas(QWidget):
    """A plot's area.

    A class of it paints in two goes: ``paint_still`` what changes seldom (grid, words, curves) and
    ``paint_moving`` what may change at every frame (masks, cursor, live curves). The first is kept
    as a picture at the screen's own resolution until ``redraw`` says that it has changed.
    """

    def __init__(self, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self._kept: QPixmap | None = None
        self._has_ring = False
        self.setSizePolicy(QSizePolicy.Policy.Expanding, QSizePolicy.Policy.Expanding)
        self.setAttribute(Qt.WidgetAttribute.WA_OpaquePaintEvent)

    def paint_still(self, painter: QPainter, size: QSizeF, tokens: Tokens) -> None:
        """Paint what changes seldom, from the origin."""
        raise NotImplementedError

    def paint_moving(self, painter: QPainter, size: QSizeF, tokens: Tokens) -> None:
        """Paint what may change at each frame, over the rest."""
        raise NotImplementedError

    def redraw(self) -> None:
        """Forget the kept picture."""
        self._kept = None
        self.update()

    def paint_on(self, painter: QPainter, size: QSizeF, tokens: Tokens) -> None:
        """Paint all of it from the origin of any painter, as for a picture file."""
        paint_paper(painter, QRectF(0, 0, size.width(), size.height()), tokens)
        self.paint_still(painter, size, tokens)
        self.paint_moving(painter, size, tokens)

    def paintEvent(self, event: QPaintEvent) -> None:
        """Paint what moves over what is kept."""
        del event
        tokens, size = tokens_of(self), QSizeF(self.size())
        painter = QPainter(self)
        # Not the widget's own ratio: it may be rendered to a picture finer than the screen.
        ratio = painter.deviceTransform().m11()
        painter.drawPixmap(0, 0, self._still(size, tokens, ratio=ratio))
        self.paint_moving(painter, size, tokens)
        if self._has_ring:
            paint_ring(painter, size, tokens)
        painter.end()

    def resizeEvent(self, event: QResizeEvent) -> None:
        """Forget the kept picture."""
        super().resizeEvent(event)
        self._kept = None

    def changeEvent(self, event: QEvent) -> None:
        """Follow the theme and the font."""
        super().changeEvent(event)
        if event.type() in _STILL:
            self.redraw()

    def focusInEvent(self, event: QFocusEvent) -> None:
        """Show the ring, unless a press brought the focus here."""
        super().focusInEvent(event)
        self._has_ring = event.reason() in _BY_KEY
        self.update()

    def focusOutEvent(self, event: QFocusEvent) -> None:
        """Take the ring away."""
        super().focusOutEvent(event)
        self._has_ring = False
        self.update()

    def _still(self, size: QSizeF, tokens: Tokens, *, ratio: float) -> QPixmap:
        if self._kept is None or self._kept.devicePixelRatioF() != ratio:
            kept = QPixmap((size * ratio).toSize())
            kept.setDevicePixelRatio(ratio)
            painter = QPainter(kept)
            paint_paper(painter, QRectF(0, 0, size.width(), size.height()), tokens)
            self.paint_still(painter, size, tokens)
            painter.end()
            self._kept = kept
        return self._kept
