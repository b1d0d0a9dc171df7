"""The head of a section: a rule, a bold title, one quiet fact."""

from PySide6.QtCore import QRectF, QSize, Qt
from PySide6.QtGui import QColor, QFontMetricsF, QPainter, QPaintEvent
from PySide6.QtWidgets import QSizePolicy, QWidget

from app.desktop.fonts import font
from app.desktop.palette import tokens_of
from app.desktop.told import told

_HEIGHT = 28
_GAP = 8


class SectionHead(QWidget):
    """28 px: rule above, title left, fact right; the fact gives way first."""

    def __init__(
        self, title: str, fact: str = "", *, ruled: bool = True, parent: QWidget | None = None
    ) -> None:
        super().__init__(parent)
        self._title, self._fact, self._ruled = title, fact, ruled
        self.setSizePolicy(QSizePolicy.Policy.Ignored, QSizePolicy.Policy.Fixed)
        self._name()

    @property
    def fact(self) -> str:
        """What stands at the right."""
        return self._fact

    @property
    def title(self) -> str:
        """What stands at the left."""
        return self._title

    def set_fact(self, fact: str) -> None:
        """Put another fact at the right."""
        if fact != self._fact:
            self._fact = fact
            self._name()
            self.update()

    def set_title(self, title: str) -> None:
        """Put another title at the left."""
        if title != self._title:
            self._title = title
            self._name()
            self.update()

    def sizeHint(self) -> QSize:
        """Return as much as title and fact take."""
        wide = QFontMetricsF(font(13, bold=True)).horizontalAdvance(self._title)
        wide += QFontMetricsF(font(12)).horizontalAdvance(self._fact) + _GAP
        return QSize(round(wide), _HEIGHT)

    def paintEvent(self, event: QPaintEvent) -> None:  # noqa: ARG002
        """Paint rule, title and fact."""
        painter, tokens = QPainter(self), tokens_of(self)
        if self._ruled:
            painter.fillRect(QRectF(0, 0, self.width(), 1), QColor(tokens.edge))
        line = QRectF(0, 2, self.width(), _HEIGHT - 2)
        middle = Qt.AlignmentFlag.AlignVCenter
        bold = QFontMetricsF(font(13, bold=True))
        title = bold.elidedText(self._title, Qt.TextElideMode.ElideRight, line.width())
        painter.setFont(font(13, bold=True))
        painter.setPen(QColor(tokens.ink))
        painter.drawText(line, middle | Qt.AlignmentFlag.AlignLeft, title)
        left = line.width() - bold.horizontalAdvance(title) - _GAP
        quiet = QFontMetricsF(font(12))
        painter.setFont(font(12))
        painter.setPen(QColor(tokens.ink3))
        painter.drawText(
            line,
            middle | Qt.AlignmentFlag.AlignRight,
            quiet.elidedText(told(self, self._fact), Qt.TextElideMode.ElideRight, max(0.0, left)),
        )

    def _name(self) -> None:
        self.setAccessibleName(" ".join(filter(None, (self._title, self._fact))))
