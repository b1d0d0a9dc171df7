"""One take in the ribbon: number, unit, time, verdict, and its colour on the plots."""

from PySide6.QtCore import QRectF, QSize, Qt, Signal
from PySide6.QtGui import QColor, QFontMetricsF, QKeyEvent, QMouseEvent, QPainter, QPaintEvent, QPen
from PySide6.QtWidgets import QSizePolicy, QWidget

from app.desktop import glyphs
from app.desktop.fonts import font
from app.desktop.palette import tokens_of
from app.desktop.presenters.measure_ribbon import Tile

WIDTH, HEIGHT = 160, 50
_BAR = 4
_PAD = 8
_GLYPH = 13.0
_LEFT = Qt.AlignmentFlag.AlignLeft | Qt.AlignmentFlag.AlignVCenter
_RIGHT = Qt.AlignmentFlag.AlignRight | Qt.AlignmentFlag.AlignVCenter


class TakeTile(QWidget):
    """A click or Enter shows the take, a click with Ctrl or the letter O lays it over."""

    show_asked = Signal(str)  # take id
    overlay_asked = Signal(str)

    def __init__(self, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self._tile: Tile | None = None
        self.setFixedSize(WIDTH, HEIGHT)
        self.setFocusPolicy(Qt.FocusPolicy.TabFocus)
        self.setSizePolicy(QSizePolicy.Policy.Fixed, QSizePolicy.Policy.Fixed)

    @property
    def tile(self) -> Tile | None:
        """What it shows."""
        return self._tile

    def set_tile(self, tile: Tile) -> None:
        """Show another take."""
        self._tile = tile
        parts = [f"take {tile.number}", tile.unit, tile.when, tile.word]
        parts += ["shown"] if tile.slot == 0 else ["laid over"] if tile.slot else []
        parts += ["reference"] if tile.is_reference else []
        self.setAccessibleName(", ".join(parts))
        over = f" {tile.key} lays it over." if tile.key else ""
        self.setToolTip("" if not tile.take_id else f"Click: show. Ctrl and click: lay over.{over}")
        self.update()

    def sizeHint(self) -> QSize:
        """Return its fixed size."""
        return QSize(WIDTH, HEIGHT)

    def mousePressEvent(self, event: QMouseEvent) -> None:
        """Ask for what was clicked."""
        if event.button() is Qt.MouseButton.LeftButton:
            over = event.modifiers() & Qt.KeyboardModifier.ControlModifier
            self._ask(over=bool(over))

    def keyPressEvent(self, event: QKeyEvent) -> None:
        """Ask for it with Enter, or with O to lay it over."""
        if event.key() in {Qt.Key.Key_Return, Qt.Key.Key_Enter}:
            self._ask(over=False)
        elif event.key() == Qt.Key.Key_O:
            self._ask(over=True)
        else:
            super().keyPressEvent(event)

    def paintEvent(self, event: QPaintEvent) -> None:  # noqa: ARG002
        """Paint it."""
        if self._tile is None:
            return
        painter, tokens, tile = QPainter(self), tokens_of(self), self._tile
        body = QRectF(self.rect())
        if tile.slot is None:
            painter.fillRect(QRectF(0, 0, body.width(), 1), QColor(tokens.edge))
        else:
            painter.fillRect(body, QColor(tokens.card))
            colour = QColor(tokens.takes[tile.slot])
            painter.fillRect(QRectF(0, 0, body.width(), _BAR), colour)
        room = body.width() - 2 * _PAD
        self._paint_first(painter, tile, QRectF(_PAD, 7, room, 19))
        self._paint_second(painter, tile, QRectF(_PAD, 27, room, 18))
        if self.hasFocus():
            painter.setPen(QPen(QColor(tokens.focus), 2))
            painter.drawRect(body.adjusted(1, 1, -1, -1))

    def _paint_first(self, painter: QPainter, tile: Tile, line: QRectF) -> None:
        tokens = tokens_of(self)
        bold, plain = QFontMetricsF(font(13, bold=True)), QFontMetricsF(font(12))
        painter.setFont(font(13, bold=True))
        painter.setPen(QColor(tokens.ink))
        painter.drawText(line, _LEFT, tile.number)
        painter.setFont(font(12))
        painter.setPen(QColor(tokens.ink3))
        painter.drawText(line, _RIGHT, tile.when)
        left = bold.horizontalAdvance(tile.number) + 8
        room = line.width() - left - plain.horizontalAdvance(tile.when) - 8
        unit = plain.elidedText(tile.unit, Qt.TextElideMode.ElideLeft, max(0.0, room))
        painter.setPen(QColor(tokens.ink2))
        painter.drawText(line.adjusted(left, 0, 0, 0), _LEFT, unit)

    def _paint_second(self, painter: QPainter, tile: Tile, line: QRectF) -> None:
        tokens = tokens_of(self)
        top = line.center().y() - _GLYPH / 2
        glyphs.paint(painter, tile.mark, QRectF(line.left(), top, _GLYPH, _GLYPH), tokens=tokens)
        painter.setFont(font(12))
        painter.setPen(QColor(tokens.ink2))
        painter.drawText(line.adjusted(_GLYPH + 6, 0, 0, 0), _LEFT, tile.word)
        note = "ref" if tile.is_reference else tile.key
        if note:
            painter.setFont(font(11))
            painter.setPen(QColor(tokens.ink3))
            painter.drawText(line, _RIGHT, note)

    def _ask(self, *, over: bool) -> None:
        if self._tile is None or not self._tile.take_id:
            return
        (self.overlay_asked if over else self.show_asked).emit(self._tile.take_id)
