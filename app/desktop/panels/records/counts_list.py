"""Counts in rows of 22 px; pressing one filters by it, pressing it again lets everything pass."""

from collections.abc import Sequence

from PySide6.QtCore import (
    QAbstractListModel,
    QModelIndex,
    QPersistentModelIndex,
    QRectF,
    QSignalBlocker,
    QSize,
    Qt,
    Signal,
)
from PySide6.QtGui import QColor, QFontMetricsF, QKeyEvent, QMouseEvent, QPainter
from PySide6.QtWidgets import (
    QAbstractItemView,
    QFrame,
    QListView,
    QSizePolicy,
    QStyledItemDelegate,
    QStyleOptionViewItem,
    QWidget,
)

from app.desktop import glyphs
from app.desktop.fonts import font
from app.desktop.palette import tokens_of
from app.desktop.presenters.records_counts import CountRow

ROW = 22
_GLYPH, _GLYPH_ROOM = 13.0, 20.0
_BAR, _PAD = 3.0, 8.0
_BAR_GAP = 4.0  # before a scroll bar
_LET_GO = {Qt.Key.Key_Delete, Qt.Key.Key_Backspace}
_FEWEST = 3

Index = QModelIndex | QPersistentModelIndex


class _Rows(QAbstractListModel):
    def __init__(self, parent: QWidget) -> None:
        super().__init__(parent)
        self.rows: tuple[CountRow, ...] = ()

    def put(self, rows: Sequence[CountRow]) -> None:
        self.beginResetModel()
        self.rows = tuple(rows)
        self.endResetModel()

    def rowCount(self, parent: Index | None = None) -> int:
        return 0 if parent is not None and parent.isValid() else len(self.rows)

    def data(self, index: Index, role: int = Qt.ItemDataRole.DisplayRole) -> object:
        row = self.rows[index.row()]
        if role == Qt.ItemDataRole.DisplayRole:
            return row.name
        if role in {Qt.ItemDataRole.AccessibleTextRole, Qt.ItemDataRole.ToolTipRole}:
            return f"{row.name} {row.count}"
        return None


class _Row(QStyledItemDelegate):
    """Mark, name at the left, count at the right; a hairline above all but the first."""

    def __init__(self, view: "CountsList") -> None:
        super().__init__(view)
        self._view = view

    def paint(self, painter: QPainter, option: QStyleOptionViewItem, index: Index) -> None:
        tokens, row = tokens_of(self._view), self._view.rows[index.row()]
        line = QRectF(option.rect)
        if self._view.verticalScrollBar().isVisible():
            line.setRight(line.right() - _BAR_GAP)
        chosen = self._view.key == row.key
        if chosen:
            painter.fillRect(line, QColor(tokens.card))
            painter.fillRect(QRectF(line.left(), line.top(), _BAR, ROW), QColor(tokens.ink))
        if index.row():
            painter.fillRect(QRectF(line.left(), line.top(), line.width(), 1), QColor(tokens.hair))
        left = _PAD if chosen else 0.0
        if row.mark is not None:
            box = QRectF(left, line.center().y() - _GLYPH / 2, _GLYPH, _GLYPH)
            glyphs.paint(painter, row.mark, box, tokens=tokens)
            left += _GLYPH_ROOM
        face = font(13, bold=chosen)
        metrics = QFontMetricsF(face)
        middle = Qt.AlignmentFlag.AlignVCenter
        painter.setFont(face)
        painter.setPen(QColor(tokens.ink if row.count != "0" else tokens.ink3))
        painter.drawText(line, middle | Qt.AlignmentFlag.AlignRight, row.count)
        room = line.width() - left - metrics.horizontalAdvance(row.count) - _PAD
        painter.setPen(QColor(tokens.ink if chosen else tokens.ink2))
        name = metrics.elidedText(row.name, Qt.TextElideMode.ElideRight, room)
        painter.drawText(line.adjusted(left, 0, 0, 0), middle | Qt.AlignmentFlag.AlignLeft, name)

    def sizeHint(self, option: QStyleOptionViewItem, index: Index) -> QSize:  # noqa: ARG002
        return QSize(80, ROW)


class CountsList(QListView):
    """Rows to filter by; ``filtered`` (a key, or empty for none) comes only from a person.

    Parameters
    ----------
    name : str
        What is counted, for those who hear it.
    grows : bool
        Whether it takes what height there is and scrolls; otherwise it is as high as its rows.
    """

    filtered = Signal(str)

    def __init__(self, name: str, *, grows: bool = False, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self.setAccessibleName(name)
        self._key, self._grows = "", grows
        self._model = _Rows(self)
        self.setModel(self._model)
        self.setItemDelegate(_Row(self))
        self.setFrameShape(QFrame.Shape.NoFrame)
        self.setUniformItemSizes(True)
        self.setHorizontalScrollBarPolicy(Qt.ScrollBarPolicy.ScrollBarAlwaysOff)
        self.setVerticalScrollMode(QAbstractItemView.ScrollMode.ScrollPerItem)
        self.setEditTriggers(QAbstractItemView.EditTrigger.NoEditTriggers)
        self.viewport().setAutoFillBackground(False)
        high = QSizePolicy.Policy.Preferred if grows else QSizePolicy.Policy.Fixed
        self.setSizePolicy(QSizePolicy.Policy.Ignored, high)
        self.selectionModel().currentChanged.connect(self._move)

    @property
    def rows(self) -> tuple[CountRow, ...]:
        """What is shown."""
        return self._model.rows

    @property
    def key(self) -> str:
        """What is filtered by; empty for nothing."""
        return self._key

    def set_rows(self, rows: Sequence[CountRow], *, key: str) -> None:
        """Show other counts and what is filtered by, and tell nobody."""
        changed = tuple(rows) != self.rows
        self._key = key
        with QSignalBlocker(self.selectionModel()):
            if changed:
                at = self.verticalScrollBar().value()
                self._model.put(rows)
                self.verticalScrollBar().setValue(at)
            place = next((n for n, row in enumerate(self.rows) if row.key == key), -1)
            self.setCurrentIndex(self._model.index(place, 0) if place >= 0 else QModelIndex())
        self.viewport().update()
        if changed:
            self.updateGeometry()

    def sizeHint(self) -> QSize:
        """Return room for all rows."""
        return QSize(120, ROW * len(self.rows))

    def minimumSizeHint(self) -> QSize:
        """Return room for all rows, or for the first few of a list that scrolls."""
        shown = min(_FEWEST, len(self.rows)) if self._grows else len(self.rows)
        return QSize(80, ROW * shown)

    def mousePressEvent(self, event: QMouseEvent) -> None:
        """Choose the row under the pointer, or let it go where it is chosen already."""
        index = self.indexAt(event.position().toPoint())
        if index.isValid() and self.rows[index.row()].key == self._key:
            self._let_go()
            return
        super().mousePressEvent(event)

    def keyPressEvent(self, event: QKeyEvent) -> None:
        """Let go with Delete or Backspace; walk with Up and Down."""
        if event.key() in _LET_GO and self._key:
            self._let_go()
        else:
            super().keyPressEvent(event)

    def _move(self, current: QModelIndex) -> None:
        if current.isValid():
            self._key = self.rows[current.row()].key
            self.viewport().update()
            self.filtered.emit(self._key)

    def _let_go(self) -> None:
        self.set_rows(self.rows, key="")
        self.filtered.emit("")
