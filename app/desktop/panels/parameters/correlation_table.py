"""How figures hang together, as a quiet half of a table; strong pairs in bold ink."""

from PySide6.QtCore import QRectF, QSize, Qt
from PySide6.QtGui import QColor, QGuiApplication, QKeyEvent, QKeySequence, QPainter, QPaintEvent
from PySide6.QtWidgets import QSizePolicy, QVBoxLayout, QWidget

from app.desktop.controls.prose import Prose
from app.desktop.controls.section_head import SectionHead
from app.desktop.fonts import font
from app.desktop.palette import tokens_of
from app.desktop.presenters.parameters_correlation import CorrelationState, correlation_text

_ROW, _NAME, _CELL = 24, 84, 52  # px
_RIGHT = Qt.AlignmentFlag.AlignRight | Qt.AlignmentFlag.AlignVCenter
_LEFT = Qt.AlignmentFlag.AlignLeft | Qt.AlignmentFlag.AlignVCenter


class _Grid(QWidget):
    def __init__(self) -> None:
        super().__init__()
        self.state = CorrelationState()
        self.setFocusPolicy(Qt.FocusPolicy.StrongFocus)
        self.setSizePolicy(QSizePolicy.Policy.Expanding, QSizePolicy.Policy.Fixed)

    def sizeHint(self) -> QSize:
        count = len(self.state.names)
        return QSize(_NAME + _CELL * count, _ROW * (count + 1))

    def paintEvent(self, event: QPaintEvent) -> None:  # noqa: ARG002
        painter, tokens, state = QPainter(self), tokens_of(self), self.state
        count = len(state.names)
        if not count:
            return
        wide = min(_CELL, (self.width() - _NAME) // count)
        px = 12 if wide >= 40 else 11
        for number, name in enumerate(state.names):
            top = _ROW * (number + 1)
            painter.fillRect(QRectF(0, top, _NAME + wide * count, 1), QColor(tokens.hair))
            painter.setFont(font(13))
            painter.setPen(QColor(tokens.ink2))
            painter.drawText(QRectF(0, top, _NAME, _ROW), _LEFT, name)
            painter.setFont(font(px))
            painter.setPen(QColor(tokens.ink3))
            painter.drawText(QRectF(_NAME + wide * number, 0, wide, _ROW), _RIGHT, _short(name))
            for column, cell in enumerate(state.rows[number]):
                painter.setFont(font(px, bold=cell.strong and column != number))
                strong = cell.strong and column != number
                painter.setPen(QColor(tokens.ink if strong else tokens.ink3))
                place = QRectF(_NAME + wide * column, top, wide, _ROW)
                painter.drawText(place, _RIGHT, cell.text)

    def keyPressEvent(self, event: QKeyEvent) -> None:
        if event.matches(QKeySequence.StandardKey.Copy):
            QGuiApplication.clipboard().setText(correlation_text(self.state))
        else:
            super().keyPressEvent(event)


class CorrelationTable(QWidget):
    """Shows a CorrelationState; Ctrl C copies it, tab-separated."""

    def __init__(self, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self._head = SectionHead("Correlation", "above 0.9 in bold; R leads back")
        self._grid = _Grid()
        self.told = Prose()
        self.setFocusProxy(self._grid)
        lines = QVBoxLayout(self)
        lines.setContentsMargins(0, 0, 0, 0)
        lines.setSpacing(8)
        lines.addWidget(self._head)
        lines.addWidget(self._grid)
        lines.addWidget(self.told)
        lines.addStretch(1)

    @property
    def state(self) -> CorrelationState:
        """What it shows."""
        return self._grid.state

    def set_state(self, state: CorrelationState) -> None:
        """Show another table."""
        self._grid.state = state
        self.told.set_text(state.told)
        self._grid.setAccessibleName("Correlation")
        self._grid.setAccessibleDescription(state.told)
        self._grid.updateGeometry()
        self._grid.update()


def _short(name: str) -> str:
    return name.split(",")[0]
