"""Stop: always in the same place, filled while sound is out."""

from PySide6.QtCore import QRectF, QSize, Qt
from PySide6.QtGui import QColor, QPainter, QPaintEvent, QPen
from PySide6.QtWidgets import QAbstractButton, QWidget

from app.desktop.fonts import font
from app.desktop.palette import Tokens, tokens_of

WIDTH = 112
HEIGHT, FOLDED_HEIGHT = 84, 36


class StopButton(QAbstractButton):
    """Ramps the output to silence; can be pressed at any time."""

    def __init__(self, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self._is_sounding = self._is_folded = False
        self.setFocusPolicy(Qt.FocusPolicy.TabFocus)
        self.setText("Stop")
        self._name()

    def set_sounding(self, *, sounding: bool) -> None:
        """Fill it, or leave it outlined."""
        if sounding != self._is_sounding:
            self._is_sounding = sounding
            self._name()
            self.update()

    def set_folded(self, *, folded: bool) -> None:
        """Take the height of the folded strip, or the whole one."""
        self._is_folded = folded
        self.setFixedSize(self.sizeHint())
        self.update()

    def sizeHint(self) -> QSize:
        """Return 112 px by the height that it has now."""
        return QSize(WIDTH, FOLDED_HEIGHT if self._is_folded else HEIGHT)

    def paintEvent(self, event: QPaintEvent) -> None:  # noqa: ARG002
        """Paint body, square, word and key."""
        painter, tokens = QPainter(self), tokens_of(self)
        painter.setRenderHint(QPainter.RenderHint.Antialiasing)
        ink = self._paint_body(painter, tokens)
        if self._is_folded:
            self._paint_square(painter, 13, self.height() / 2, side=13, ink=ink)
            self._paint_word(painter, QRectF(33, 0, 50, self.height()), px=14, ink=ink)
            self._paint_cap(painter, QRectF(77, 9, 27, 18), ink=ink)
        else:
            self._paint_square(painter, 16, 28, side=16, ink=ink)
            self._paint_word(painter, QRectF(40, 8, 66, 40), px=16, ink=ink)
            self._paint_cap(painter, QRectF(16, 48.5, 27, 18), ink=ink)
            painter.setFont(font(11))
            when = "any time" if self._is_sounding else "silent"
            painter.drawText(QRectF(56, 48, 54, 19), Qt.AlignmentFlag.AlignVCenter, when)

    def _paint_body(self, painter: QPainter, tokens: Tokens) -> QColor:
        body = QRectF(self.rect()).adjusted(0.6, 0.6, -0.6, -0.6)
        fill = tokens.bad if self._is_sounding else tokens.hair if self.isDown() else tokens.card
        edge = tokens.bad if self._is_sounding else tokens.edge
        painter.setPen(QPen(QColor(edge), 1.2))
        painter.setBrush(QColor(fill))
        painter.drawRoundedRect(body, 4, 4)
        if self.hasFocus():
            painter.setPen(QPen(QColor(tokens.focus), 2))
            painter.drawRoundedRect(body.adjusted(1, 1, -1, -1), 4, 4)
        if not self._is_sounding:
            return QColor(tokens.ink)
        return QColor(tokens.paper if tokens.is_dark else tokens.on_panel)

    @staticmethod
    def _paint_square(
        painter: QPainter, left: float, middle: float, *, side: float, ink: QColor
    ) -> None:
        painter.fillRect(QRectF(left, middle - side / 2, side, side), ink)

    def _paint_word(self, painter: QPainter, box: QRectF, *, px: int, ink: QColor) -> None:
        painter.setFont(font(px, bold=True))
        painter.setPen(ink)
        painter.drawText(box, Qt.AlignmentFlag.AlignVCenter, self.text())

    @staticmethod
    def _paint_cap(painter: QPainter, cap: QRectF, *, ink: QColor) -> None:
        painter.setPen(QPen(ink, 1))
        painter.setBrush(Qt.BrushStyle.NoBrush)
        painter.drawRoundedRect(cap.adjusted(0.5, 0, -0.5, 0), 3, 3)
        painter.setFont(font(11))
        painter.drawText(cap, Qt.AlignmentFlag.AlignCenter, "Esc")

    def _name(self) -> None:
        self.setAccessibleName("Stop, Esc, " + ("sounding" if self._is_sounding else "silent"))
