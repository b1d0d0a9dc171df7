"""The list of takes as Qt sees it: any length, fetched a page at a time as it comes in sight."""

from collections import OrderedDict
from collections.abc import Sequence
from typing import Any

from PySide6.QtCore import QAbstractTableModel, QModelIndex, QObject, Qt, QTimer, Signal, Slot

from app.desktop.controls.lines_view import MARK_ROLE, QUIET_ROLE, Index
from app.desktop.panels.records.look import PAGE
from app.desktop.presenters.records_table import FigureColumn, TakeLine

_KEPT = 60  # pages
_PLAIN = ("Take", "Time, UTC", "Unit", "Lot", "Verdict", "Procedure")
NUMBER, TIME, UNIT, LOT, VERDICT, PROCEDURE = range(len(_PLAIN))
FIGURES = len(_PLAIN)  # the first column of figures
_PENDING = "…"
_LEFT, _RIGHT = Qt.AlignmentFlag.AlignLeft, Qt.AlignmentFlag.AlignRight


class TakeModel(QAbstractTableModel):
    """Lines of takes; ``page_wanted`` (its number) asks for one that came in sight."""

    page_wanted = Signal(int)

    def __init__(self, parent: QObject | None = None) -> None:
        super().__init__(parent)
        self._count = 0
        self._columns: tuple[FigureColumn, ...] = ()
        self._pages: OrderedDict[int, tuple[TakeLine, ...]] = OrderedDict()
        self._longest: list[str] = []
        self._missing: int | None = None  # the page asked for last: the others are out of sight
        self._soon = QTimer(self)
        self._soon.setSingleShot(True)
        self._soon.setInterval(0)
        self._soon.timeout.connect(self._ask)

    @property
    def figure_columns(self) -> tuple[FigureColumn, ...]:
        """The columns after the plain ones."""
        return self._columns

    def set_list(
        self, count: int, *, columns: Sequence[FigureColumn], first: Sequence[TakeLine]
    ) -> None:
        """Show another list, whose first page is there."""
        self.beginResetModel()
        self._count, self._columns = count, tuple(columns)
        self._pages.clear()
        self._missing = None
        self._longest = ["" for _ in range(FIGURES + len(self._columns))]
        if first:
            self._pages[0] = tuple(first)
            self._measure(first)
        self.endResetModel()

    def set_count(self, count: int) -> None:
        """Make the list longer, or shorter: its first page has come before it was counted."""
        if count > self._count:
            self.beginInsertRows(QModelIndex(), self._count, count - 1)
            self._count = count
            self.endInsertRows()
        elif count < self._count:
            self.beginRemoveRows(QModelIndex(), count, self._count - 1)
            self._count = count
            self.endRemoveRows()

    def put_page(self, number: int, lines: Sequence[TakeLine]) -> None:
        """Take a page that was asked for."""
        self._pages[number] = tuple(lines)
        self._pages.move_to_end(number)
        self._measure(lines)
        while len(self._pages) > _KEPT:
            self._pages.popitem(last=False)
        top, bottom = number * PAGE, min((number + 1) * PAGE, self._count) - 1
        self.dataChanged.emit(self.index(top, 0), self.index(bottom, self.columnCount() - 1))

    def line(self, row: int) -> TakeLine | None:
        """Return a line, if its page is there; otherwise it is asked for."""
        if not 0 <= row < self._count:
            return None
        number, place = divmod(row, PAGE)
        page = self._pages.get(number)
        if page is None:
            self._missing = number
            self._soon.start()
            return None
        # A take less than there were: deleted nowhere, but other processes keep takes meanwhile.
        return page[place] if place < len(page) else None

    def longest(self, column: int) -> str:
        """Return the longest text that a column has shown so far."""
        return self._longest[column] if column < len(self._longest) else ""

    def row_of(self, take_id: str) -> int | None:
        """Return the row of a take, if its page is there."""
        return next(
            (
                number * PAGE + place
                for number, page in self._pages.items()
                for place, line in enumerate(page)
                if line.id == take_id
            ),
            None,
        )

    def rowCount(self, parent: Index | None = None) -> int:
        """Return how many takes the list has."""
        return 0 if parent is not None and parent.isValid() else self._count

    def columnCount(self, parent: Index | None = None) -> int:
        """Return how many columns there are, shown or not."""
        return 0 if parent is not None and parent.isValid() else FIGURES + len(self._columns)

    def data(self, index: Index, role: int = Qt.ItemDataRole.DisplayRole) -> Any:
        """Return what a cell shows."""
        column = index.column()
        if role == Qt.ItemDataRole.TextAlignmentRole:
            return _align(column)
        if role == QUIET_ROLE:
            return column not in {NUMBER, VERDICT}
        line = self.line(index.row())
        if line is None:
            return _PENDING if role == Qt.ItemDataRole.DisplayRole and column == NUMBER else None
        if role == Qt.ItemDataRole.DisplayRole:
            return _cells(line)[column]
        if role == MARK_ROLE:
            return line.mark if column == VERDICT else None
        if role == Qt.ItemDataRole.ToolTipRole:
            return line.note if column == VERDICT and line.note else _cells(line)[column]
        return None

    def headerData(
        self, section: int, orientation: Qt.Orientation, role: int = Qt.ItemDataRole.DisplayRole
    ) -> Any:
        """Return the title of a column."""
        if orientation is Qt.Orientation.Vertical:
            return None
        if role == Qt.ItemDataRole.DisplayRole:
            titles = (*_PLAIN, *(column.title for column in self._columns))
            return titles[section]
        return _align(section) if role == Qt.ItemDataRole.TextAlignmentRole else None

    def _measure(self, lines: Sequence[TakeLine]) -> None:
        for line in lines:
            for column, text in enumerate(_cells(line)):
                if len(text) > len(self._longest[column]):
                    self._longest[column] = text

    @Slot()
    def _ask(self) -> None:
        if self._missing is not None:
            self.page_wanted.emit(self._missing)
            self._missing = None


def _align(column: int) -> Qt.AlignmentFlag:
    return _RIGHT if column >= FIGURES else _LEFT


def _cells(line: TakeLine) -> tuple[str, ...]:
    plain = (str(line.number), line.time, line.unit, line.lot, line.verdict, line.procedure)
    return (*plain, *line.figures)
