"""The verdict at the head of a column: mark, word, and by how much."""

from PySide6.QtCore import QRectF, QSize, Qt
from PySide6.QtGui import QColor, QFontMetricsF, QPainter, QPaintEvent
from PySide6.QtWidgets import QSizePolicy, QWidget

from app.desktop import glyphs
from app.desktop.fonts import font
from app.desktop.palette import tokens_of
from app.desktop.presenters.capital import capital
from app.desktop.presenters.mark import Mark
from app.desktop.told import told

_HEIGHT = 70
_GLYPH = 32.0
_TEXT_LEFT = 44.0
_WORD_PX, _SMALLEST_PX = 22, 15


class VerdictHead(QWidget):
    """A rule, a mark of 32 px, the word at 22 px, one line under it."""

    def __init__(self, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self._mark: Mark | None = None
        self._word, self._detail = "", ""
        self.setSizePolicy(QSizePolicy.Policy.Ignored, QSizePolicy.Policy.Fixed)

    @property
    def word(self) -> str:
        """The verdict."""
        return self._word

    @property
    def detail(self) -> str:
        """What stands under it."""
        return self._detail

    def set_verdict(self, mark: Mark | None, word: str, detail: str) -> None:
        """Show another verdict."""
        self._mark, self._word, self._detail = mark, capital(word), detail
        self.setAccessibleName(f"{self._word}, {detail}" if detail else self._word)
        self.setToolTip(detail)
        self.update()

    def sizeHint(self) -> QSize:
        """Return 70 px of height."""
        return QSize(200, _HEIGHT)

    def paintEvent(self, event: QPaintEvent) -> None:  # noqa: ARG002
        """Paint rule, mark and words."""
        painter, tokens = QPainter(self), tokens_of(self)
        painter.fillRect(QRectF(0, 0, self.width(), 1), QColor(tokens.edge))
        if self._mark is not None:
            glyphs.paint(painter, self._mark, QRectF(0, 15, _GLYPH, _GLYPH), tokens=tokens)
        room = self.width() - _TEXT_LEFT
        size = _WORD_PX
        while size > _SMALLEST_PX and _wide(self._word, size) > room:
            size -= 1
        painter.setFont(font(size, bold=True))
        painter.setPen(QColor(tokens.ink))
        align = Qt.AlignmentFlag.AlignLeft | Qt.AlignmentFlag.AlignVCenter
        painter.drawText(QRectF(_TEXT_LEFT, 10, room, 30), align, self._word)
        painter.setFont(font(12))
        painter.setPen(QColor(tokens.ink2))
        metrics, said = QFontMetricsF(font(12)), told(self, self._detail)
        detail = metrics.elidedText(said, Qt.TextElideMode.ElideRight, room)
        painter.drawText(QRectF(_TEXT_LEFT, 38, room, 18), align, detail)


def _wide(word: str, size: int) -> float:
    return QFontMetricsF(font(size, bold=True)).horizontalAdvance(word)
