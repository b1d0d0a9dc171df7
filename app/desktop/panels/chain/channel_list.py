"""The channels that a wire can go to, each with what it hears now."""

from collections.abc import Sequence

from PySide6.QtCore import QModelIndex, QPersistentModelIndex, QPoint, QRectF, QSize, Qt, Signal
from PySide6.QtGui import QColor, QKeyEvent, QPainter
from PySide6.QtWidgets import (
    QFrame,
    QListWidget,
    QListWidgetItem,
    QStyledItemDelegate,
    QStyleOptionViewItem,
    QWidget,
)

from app.desktop.fonts import font
from app.desktop.palette import tokens_of
from app.desktop.presenters.chain_wiring import ChannelLine

_ROW = 26
_WIDTH = 400
_MOST_ROWS = 12
_NAME, _BAR, _LEVEL = 70.0, 80.0, 84.0
_LINE = Qt.ItemDataRole.UserRole + 1


class _Lines(QStyledItemDelegate):
    def __init__(self, view: QListWidget) -> None:
        super().__init__(view)
        self._view = view

    def sizeHint(
        self,
        option: QStyleOptionViewItem,  # noqa: ARG002
        index: QModelIndex | QPersistentModelIndex,  # noqa: ARG002
    ) -> QSize:
        return QSize(_WIDTH, _ROW)

    def paint(
        self,
        painter: QPainter,
        option: QStyleOptionViewItem,
        index: QModelIndex | QPersistentModelIndex,
    ) -> None:
        line, tokens = index.data(_LINE), tokens_of(self._view)
        cell = QRectF(option.rect)
        chosen = self._view.currentRow() == index.row()
        if chosen:
            painter.fillRect(cell, QColor(tokens.card))
            painter.fillRect(QRectF(cell.left(), cell.top(), 3, cell.height()), QColor(tokens.ink))
        middle = Qt.AlignmentFlag.AlignVCenter
        room = cell.adjusted(12, 0, -10, 0)
        painter.setFont(font(13, bold=chosen))
        painter.setPen(QColor(tokens.ink))
        painter.drawText(room, middle, line.name)
        room.setLeft(room.left() + _NAME)
        if line.fill is not None:
            track = QRectF(room.left(), cell.center().y() - 2.5, _BAR, 5)
            painter.fillRect(track, QColor(tokens.grid))
            track.setWidth(_BAR * line.fill)
            painter.fillRect(track, QColor(tokens.takes[0]))
        painter.setFont(font(12))
        painter.setPen(QColor(tokens.ink2))
        level = QRectF(room.left() + _BAR, cell.top(), _LEVEL, cell.height())
        painter.drawText(level, middle | Qt.AlignmentFlag.AlignRight, line.level_text)
        painter.setPen(QColor(tokens.ink3))
        painter.drawText(
            room.adjusted(_BAR + _LEVEL + 10, 0, 0, 0),
            middle,
            painter.fontMetrics().elidedText(
                line.taken_by,
                Qt.TextElideMode.ElideRight,
                round(room.width() - _BAR - _LEVEL - 10),
            ),
        )


class ChannelList(QListWidget):
    """A list over the window; ``chosen`` (the channel, 0 for none) comes with Enter or a click."""

    chosen = Signal(int)

    def __init__(self, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self.setWindowFlags(Qt.WindowType.Popup)
        self.setFrameShape(QFrame.Shape.Box)
        self.setItemDelegate(_Lines(self))
        self.setHorizontalScrollBarPolicy(Qt.ScrollBarPolicy.ScrollBarAlwaysOff)
        self.itemClicked.connect(self._take)

    def set_lines(self, lines: Sequence[ChannelLine], *, channel: int | None = None) -> None:
        """Show other lines; the one at hand stays, or that of ``channel`` where the list opens."""
        opens = self.count() != len(lines)
        if opens:
            self.clear()
            for _ in lines:
                self.addItem(QListWidgetItem())
        for at, line in enumerate(lines):
            item = self.item(at)
            item.setData(_LINE, line)
            item.setText(line.spoken)
            if opens and line.number == (channel or 0):
                self.setCurrentRow(at)
        if opens:
            self.setFixedSize(_WIDTH, 4 + _ROW * min(_MOST_ROWS, len(lines)))

    def open_at(self, place: QPoint) -> None:
        """Show it over a place of the screen, and take the keyboard."""
        self.move(place)
        self.show()
        self.setFocus()

    def keyPressEvent(self, event: QKeyEvent) -> None:
        """Enter takes the line at hand; Esc leaves all as it was."""
        if event.key() in {Qt.Key.Key_Return, Qt.Key.Key_Enter, Qt.Key.Key_Space}:
            self._take(self.currentItem())
        elif event.key() == Qt.Key.Key_Escape:
            self.hide()
        else:
            super().keyPressEvent(event)

    def _take(self, item: QListWidgetItem | None) -> None:
        if item is None:
            return
        self.hide()
        self.chosen.emit(item.data(_LINE).number)
