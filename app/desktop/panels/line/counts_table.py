"""Counts of the lot: a row of 32 px for each verdict, read in passing."""

from PySide6.QtCore import QRectF, QSize, Qt
from PySide6.QtGui import QColor, QPainter, QPaintEvent
from PySide6.QtWidgets import QSizePolicy, QVBoxLayout, QWidget

from app.desktop import glyphs
from app.desktop.controls.section_head import SectionHead
from app.desktop.fonts import font
from app.desktop.palette import tokens_of
from app.desktop.presenters.line_side import CountRow, CountsState

_ROW = 32
_GLYPH = 16.0
_MIDDLE = Qt.AlignmentFlag.AlignVCenter


class _Rows(QWidget):
    def __init__(self) -> None:
        super().__init__()
        self.rows: tuple[CountRow, ...] = ()
        self.setSizePolicy(QSizePolicy.Policy.Ignored, QSizePolicy.Policy.Fixed)

    def sizeHint(self) -> QSize:
        return QSize(200, _ROW * max(3, len(self.rows)))

    def paintEvent(self, event: QPaintEvent) -> None:  # noqa: ARG002
        painter, tokens = QPainter(self), tokens_of(self)
        for number, row in enumerate(self.rows):
            line = QRectF(0, number * _ROW, self.width(), _ROW)
            painter.fillRect(QRectF(0, line.top(), self.width(), 1), QColor(tokens.hair))
            top = line.center().y() - _GLYPH / 2
            glyphs.paint(painter, row.mark, QRectF(0, top, _GLYPH, _GLYPH), tokens=tokens)
            painter.setFont(font(15))
            painter.setPen(QColor(tokens.ink2))
            painter.drawText(
                line.adjusted(26, 0, 0, 0), _MIDDLE | Qt.AlignmentFlag.AlignLeft, row.word
            )
            painter.setFont(font(20, bold=True))
            painter.setPen(QColor(tokens.ink))
            painter.drawText(line, _MIDDLE | Qt.AlignmentFlag.AlignRight, row.count)


class CountsTable(QWidget):
    """Lot and yield in the head; below, how many units have each verdict."""

    def __init__(self, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self._head = SectionHead("")
        self._rows = _Rows()
        lines = QVBoxLayout(self)
        lines.setContentsMargins(0, 0, 0, 0)
        lines.setSpacing(0)
        lines.addWidget(self._head)
        lines.addWidget(self._rows)

    def set_state(self, state: CountsState) -> None:
        """Show other counts."""
        self._head.set_title(state.title)
        self._head.set_fact(state.fact)
        self._rows.rows = state.rows
        self._rows.setAccessibleName("; ".join(f"{row.word} {row.count}" for row in state.rows))
        self._rows.updateGeometry()
        self._rows.update()
