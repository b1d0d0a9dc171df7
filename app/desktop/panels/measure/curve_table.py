"""Curves as numbers: a row a frequency, a column a curve."""

from PySide6.QtCore import QAbstractTableModel, QModelIndex, QObject, QPersistentModelIndex, Qt
from PySide6.QtGui import QFontMetricsF, QGuiApplication, QKeyEvent, QKeySequence
from PySide6.QtWidgets import QWidget

from app.desktop.controls.lines_view import LinesView
from app.desktop.fonts import font
from app.desktop.presenters.figures import minus

_ROW = 22
_NARROWEST, _PAD = 84, 22
_RIGHT = Qt.AlignmentFlag.AlignRight | Qt.AlignmentFlag.AlignVCenter

Index = QModelIndex | QPersistentModelIndex


class _Cells(QAbstractTableModel):
    def __init__(self, parent: QObject) -> None:
        super().__init__(parent)
        self.head: list[str] = []
        self.rows: list[list[str]] = []

    def put(self, text: str) -> None:
        self.beginResetModel()
        head, *rows = [line.split("\t") for line in text.splitlines()] or [[]]
        wide = max(map(len, (head, *rows)))  # tables below the first one have columns of their own
        self.head = head + [""] * (wide - len(head))
        self.rows = [row + [""] * (wide - len(row)) for row in rows]
        self.endResetModel()

    def rowCount(self, parent: Index | None = None) -> int:
        return 0 if parent is not None and parent.isValid() else len(self.rows)

    def columnCount(self, parent: Index | None = None) -> int:
        return 0 if parent is not None and parent.isValid() else len(self.head)

    def data(self, index: Index, role: int = Qt.ItemDataRole.DisplayRole) -> object:
        if role == Qt.ItemDataRole.DisplayRole:
            return minus(self.rows[index.row()][index.column()])
        return _RIGHT if role == Qt.ItemDataRole.TextAlignmentRole else None

    def headerData(
        self, section: int, orientation: Qt.Orientation, role: int = Qt.ItemDataRole.DisplayRole
    ) -> object:
        if orientation is Qt.Orientation.Vertical:
            return None
        if role == Qt.ItemDataRole.DisplayRole:
            return self.head[section]
        return _RIGHT if role == Qt.ItemDataRole.TextAlignmentRole else None


class CurveTable(LinesView):
    """What the plots show; Ctrl C copies all of it, tab-separated."""

    def __init__(self, parent: QWidget | None = None) -> None:
        super().__init__("Curves as a table", parent)
        self._cells = _Cells(self)
        self._text = ""
        self.setModel(self._cells)
        self.setHorizontalScrollBarPolicy(Qt.ScrollBarPolicy.ScrollBarAsNeeded)
        self.verticalHeader().setMinimumSectionSize(_ROW)
        self.verticalHeader().setDefaultSectionSize(_ROW)

    def set_text(self, text: str) -> None:
        """Show other curves, tab-separated."""
        self._text = text
        self._cells.put(text)
        head, metrics = self.horizontalHeader(), QFontMetricsF(font(12))
        for column, title in enumerate(self._cells.head):
            wide = round(metrics.horizontalAdvance(title)) + _PAD
            head.resizeSection(column, max(_NARROWEST, wide))

    def keyPressEvent(self, event: QKeyEvent) -> None:
        """Copy with Ctrl C."""
        if event.matches(QKeySequence.StandardKey.Copy):
            QGuiApplication.clipboard().setText(self._text)
        else:
            super().keyPressEvent(event)
