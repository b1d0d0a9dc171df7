"""One wire of the chain as a row that opens its list of channels."""

from PySide6.QtCore import QRectF, QSize, Qt
from PySide6.QtGui import QColor, QPainter, QPaintEvent, QPen
from PySide6.QtWidgets import QAbstractButton, QSizePolicy, QWidget

from app.desktop import glyphs
from app.desktop.fonts import font
from app.desktop.palette import tokens_of
from app.desktop.presenters.chain_wiring import WiringRow
from app.desktop.presenters.mark import Mark

HEIGHT = 26
_GLYPH = 13.0
_LEFT = 20.0


class WireRow(QAbstractButton):
    """Mark, what it carries, and its channel; a press asks for another channel."""

    def __init__(self, row: WiringRow, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self.row = row
        self.setFocusPolicy(Qt.FocusPolicy.StrongFocus)
        self.setSizePolicy(QSizePolicy.Policy.Ignored, QSizePolicy.Policy.Fixed)
        self.set_row(row)

    def set_row(self, row: WiringRow) -> None:
        """Show it wired otherwise."""
        self.row = row
        self.setText(row.label)
        self.setAccessibleName(row.spoken)
        self.update()

    def sizeHint(self) -> QSize:
        """Return 26 px of height."""
        return QSize(200, HEIGHT)

    def paintEvent(self, event: QPaintEvent) -> None:  # noqa: ARG002
        """Paint mark and words over a hairline."""
        painter, tokens = QPainter(self), tokens_of(self)
        painter.setRenderHint(QPainter.RenderHint.Antialiasing)
        body = QRectF(self.rect())
        if self.isDown() or self.underMouse():
            painter.fillRect(body, QColor(tokens.card))
        painter.fillRect(QRectF(0, body.bottom() - 1, body.width(), 1), QColor(tokens.hair))
        mark = QRectF(0, (HEIGHT - _GLYPH) / 2, _GLYPH, _GLYPH)
        glyphs.paint(painter, self.row.mark, mark, tokens=tokens)
        painter.setFont(font(13))
        middle = Qt.AlignmentFlag.AlignVCenter
        painter.setPen(QColor(tokens.ink))
        right = painter.fontMetrics().horizontalAdvance(self.row.text) + 8
        label = painter.fontMetrics().elidedText(
            self.row.label, Qt.TextElideMode.ElideRight, round(body.width() - _LEFT - right)
        )
        painter.drawText(body.adjusted(_LEFT, 0, 0, -1), middle, label)
        is_plain = self.row.mark is Mark.GOOD
        painter.setPen(QColor(tokens.ink if is_plain else tokens.ink2))
        painter.drawText(
            body.adjusted(0, 0, -2, -1), middle | Qt.AlignmentFlag.AlignRight, self.row.text
        )
        if self.hasFocus():
            painter.setPen(QPen(QColor(tokens.focus), 2))
            painter.setBrush(Qt.BrushStyle.NoBrush)
            painter.drawRoundedRect(body.adjusted(1, 1, -1, -1), 3, 3)
