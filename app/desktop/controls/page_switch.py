"""Two words, one of them chosen: which page of a folded column is seen."""

from functools import partial

from PySide6.QtCore import QRectF, QSize, Qt, Signal
from PySide6.QtGui import QColor, QFontMetricsF, QPainter, QPaintEvent, QPen
from PySide6.QtWidgets import QAbstractButton, QButtonGroup, QHBoxLayout, QWidget

from app.desktop.fonts import font
from app.desktop.palette import tokens_of

_HEIGHT = 28
_BAR = 3


class _Page(QAbstractButton):
    def __init__(self, title: str) -> None:
        super().__init__()
        self.setText(title)
        self.setAccessibleName(title)
        self.setCheckable(True)
        self.setFocusPolicy(Qt.FocusPolicy.TabFocus)

    def sizeHint(self) -> QSize:
        wide = QFontMetricsF(font(13, bold=True)).horizontalAdvance(self.text())
        return QSize(round(wide) + 16, _HEIGHT)

    def paintEvent(self, event: QPaintEvent) -> None:  # noqa: ARG002
        painter, tokens = QPainter(self), tokens_of(self)
        chosen = self.isChecked()
        painter.setFont(font(13, bold=chosen))
        painter.setPen(QColor(tokens.ink if chosen else tokens.ink2))
        painter.drawText(self.rect(), Qt.AlignmentFlag.AlignCenter, self.text())
        if chosen:
            painter.fillRect(QRectF(0, 0, self.width(), _BAR), QColor(tokens.ink))
        if self.hasFocus():
            painter.setPen(QPen(QColor(tokens.focus), 2))
            painter.drawRect(self.rect().adjusted(1, 1, -1, -1))


class PageSwitch(QWidget):
    """``turned`` (0 or 1) tells which page was chosen."""

    turned = Signal(int)

    def __init__(self, titles: tuple[str, str], parent: QWidget | None = None) -> None:
        super().__init__(parent)
        line = QHBoxLayout(self)
        line.setContentsMargins(0, 0, 0, 0)
        line.setSpacing(4)
        self._group = QButtonGroup(self)
        for number, title in enumerate(titles):
            page = _Page(title)
            self._group.addButton(page, number)
            line.addWidget(page)
            page.clicked.connect(partial(self.turn, number))
        line.addStretch(1)
        self._group.button(0).setChecked(True)

    def turn(self, number: int, *_: object) -> None:
        """Choose a page."""
        self._group.button(number).setChecked(True)
        self.turned.emit(number)
