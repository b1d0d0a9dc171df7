"""Curves as numbers: a row a frequency, a column a curve."""

from PySide6.QtCore import QAbstractTableModel, QModelIndex, QObject, QPersistentModelIndex, Qt
from PySide6.QtGui import QGuiApplication, QKeyEvent, QKeySequence
from PySide6.QtWidgets import QAbstractItemView, QFrame, QTableView, QWidget

from app.desktop.fonts import font
from app.desktop.presenters.figures import minus

_ROW = 22
_COLUMN = 132
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
        self.head, self.rows = head, rows
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
            return self.head[section].replace(", ", "\n", 1)
        return _RIGHT if role == Qt.ItemDataRole.TextAlignmentRole else None


class CurveTable(QTableView):
    """What the plots show; Ctrl C copies the chosen cells, or all where none is chosen."""

    def __init__(self, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self._cells = _Cells(self)
        self._text = ""
        self.setModel(self._cells)
        self.setFont(font(12))
        self.setFrameShape(QFrame.Shape.NoFrame)
        self.setAccessibleName("Curves as a table")
        self.setEditTriggers(QAbstractItemView.EditTrigger.NoEditTriggers)
        self.verticalHeader().hide()
        self.verticalHeader().setDefaultSectionSize(_ROW)
        self.horizontalHeader().setDefaultSectionSize(_COLUMN)
        self.horizontalHeader().setFont(font(11))

    def set_text(self, text: str) -> None:
        """Show other curves, tab-separated."""
        self._text = text
        self._cells.put(text)

    def keyPressEvent(self, event: QKeyEvent) -> None:
        """Copy with Ctrl C."""
        if event.matches(QKeySequence.StandardKey.Copy):
            QGuiApplication.clipboard().setText(self._chosen() or self._text)
        else:
            super().keyPressEvent(event)

    def _chosen(self) -> str:
        rows: dict[int, list[str]] = {}
        for index in sorted(self.selectedIndexes(), key=lambda one: (one.row(), one.column())):
            cell = self._cells.rows[index.row()][index.column()]
            rows.setdefault(index.row(), []).append(cell)
        return "\n".join("\t".join(cells) for cells in rows.values())
