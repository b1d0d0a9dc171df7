"""A short table of rows with a key each, to choose one from."""

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Any

from PySide6.QtCore import (
    QAbstractTableModel,
    QModelIndex,
    QObject,
    QSignalBlocker,
    QSize,
    Qt,
    Signal,
)
from PySide6.QtWidgets import QHeaderView, QWidget

from app.desktop.controls.lines_view import HUE_ROLE, MARK_ROLE, QUIET_ROLE, ROW, Index, LinesView
from app.desktop.presenters.mark import Mark

_LEFT, _RIGHT = Qt.AlignmentFlag.AlignLeft, Qt.AlignmentFlag.AlignRight
_FEWEST = 3  # rows that stay visible


@dataclass(frozen=True, slots=True, kw_only=True)
class Column:
    """One column of a table.

    Attributes
    ----------
    title : str
        Above it.
    width : int or None
        px; None shares what is left.
    align : str
        ``left`` or ``right``.
    marked : bool
        Whether a row's mark stands in it.
    quiet : bool
        Whether its words are in the second ink.
    """

    title: str
    width: int | None = None
    align: str = "left"
    marked: bool = False
    quiet: bool = False


@dataclass(frozen=True, slots=True, kw_only=True)
class LineRow:
    """One row: its cells, its mark, the key by which it is known, and the hue of a take."""

    cells: tuple[str, ...]
    key: str
    mark: Mark | None = None
    hue: str = ""
    note: str = ""


class _Rows(QAbstractTableModel):
    def __init__(self, columns: Sequence[Column], parent: QObject) -> None:
        super().__init__(parent)
        self._columns = tuple(columns)
        self.rows: tuple[LineRow, ...] = ()

    def put(self, rows: Sequence[LineRow]) -> None:
        before = self.rows
        if [row.key for row in rows] == [row.key for row in before]:
            self.rows = tuple(rows)
            for at, (row, was) in enumerate(zip(rows, before, strict=True)):
                for column in range(len(self._columns)) if row != was else ():
                    cell = self.index(at, column)
                    self.dataChanged.emit(cell, cell)  # of several at once Qt repaints all there is
            return
        self.beginResetModel()
        self.rows = tuple(rows)
        self.endResetModel()

    def rowCount(self, parent: Index | None = None) -> int:
        return 0 if parent is not None and parent.isValid() else len(self.rows)

    def columnCount(self, parent: Index | None = None) -> int:
        return 0 if parent is not None and parent.isValid() else len(self._columns)

    def data(self, index: Index, role: int = Qt.ItemDataRole.DisplayRole) -> Any:
        row, column = self.rows[index.row()], self._columns[index.column()]
        marked = column.marked or (index.column() == 0 and not any(c.marked for c in self._columns))
        given = {
            int(Qt.ItemDataRole.DisplayRole): row.cells[index.column()],
            int(Qt.ItemDataRole.ToolTipRole): row.note or row.cells[index.column()],
            int(Qt.ItemDataRole.TextAlignmentRole): _align(column),
            int(MARK_ROLE): row.mark if marked else None,
            int(QUIET_ROLE): column.quiet,
            int(HUE_ROLE): row.hue,
        }
        return given.get(int(role))

    def headerData(
        self,
        section: int,
        orientation: Qt.Orientation,
        role: int = Qt.ItemDataRole.DisplayRole,
    ) -> Any:
        if orientation is Qt.Orientation.Vertical:
            return None
        if role == Qt.ItemDataRole.DisplayRole:
            return self._columns[section].title
        if role == Qt.ItemDataRole.TextAlignmentRole:
            return _align(self._columns[section])
        return None


class LinesTable(LinesView):
    """Rows of words; ``chosen`` (a key) comes when a person chooses, never from ``choose``."""

    chosen = Signal(str)
    pressed_twice = Signal(str)  # a double click, or Enter, on a row

    def __init__(
        self, columns: Sequence[Column], *, name: str = "", parent: QWidget | None = None
    ) -> None:
        super().__init__(name, parent)
        self._rows = _Rows(columns, self)
        self.setModel(self._rows)
        head = self.horizontalHeader()
        for number, column in enumerate(columns):
            if column.width is None:
                head.setSectionResizeMode(number, QHeaderView.ResizeMode.Stretch)
            else:
                head.setSectionResizeMode(number, QHeaderView.ResizeMode.Fixed)
                head.resizeSection(number, column.width)
        self.selectionModel().currentRowChanged.connect(self._choose)
        self.activated.connect(self._press)

    @property
    def rows(self) -> tuple[LineRow, ...]:
        """What is shown."""
        return self._rows.rows

    @property
    def key(self) -> str | None:
        """The key of the chosen row."""
        at = self.currentIndex().row()
        return self._rows.rows[at].key if 0 <= at < len(self._rows.rows) else None

    def set_rows(self, rows: Sequence[LineRow]) -> None:
        """Show other rows; the chosen one stays chosen if its key is still there."""
        if tuple(rows) == self._rows.rows:
            return
        key, before = self.key, len(self._rows.rows)
        with QSignalBlocker(self):
            self._rows.put(rows)
        self.choose(key)
        if len(rows) != before:
            self.updateGeometry()

    def choose(self, key: str | None) -> None:
        """Choose a row by its key, and tell nobody; None or an unknown key: none."""
        at = next((n for n, row in enumerate(self._rows.rows) if row.key == key), -1)
        if self.currentIndex().row() == at:
            return
        with QSignalBlocker(self):
            self.setCurrentIndex(self._rows.index(at, 0) if at >= 0 else QModelIndex())
        self.viewport().update()

    def sizeHint(self) -> QSize:
        """Return room for all rows."""
        return QSize(240, ROW * (1 + len(self._rows.rows)))

    def minimumSizeHint(self) -> QSize:
        """Return room for the first three."""
        return QSize(120, ROW * (1 + min(_FEWEST, len(self._rows.rows))))

    def _choose(self, current: QModelIndex) -> None:
        if current.isValid():
            self.chosen.emit(self._rows.rows[current.row()].key)

    def _press(self, index: QModelIndex) -> None:
        self.pressed_twice.emit(self._rows.rows[index.row()].key)


def _align(column: Column) -> Qt.AlignmentFlag:
    return _RIGHT if column.align == "right" else _LEFT
