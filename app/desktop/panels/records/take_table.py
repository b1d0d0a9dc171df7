"""The table of takes: as quick with a hundred thousand as with ten."""

from PySide6.QtCore import QModelIndex, QSignalBlocker, Qt, Signal
from PySide6.QtGui import QFontMetricsF, QKeyEvent, QResizeEvent
from PySide6.QtWidgets import QAbstractItemView, QHeaderView, QWidget

from app.desktop.controls.lines_view import ROW, LinesView
from app.desktop.fonts import font
from app.desktop.panels.records import take_model
from app.desktop.panels.records.take_model import FIGURES, TakeModel

# Px at least; wider where what is shown needs it, and never wider than the most.
_LEAST, _MOST, _FIGURE = 56, 220, 84
_PADS, _MARK = 17, 20
# What is left out where there is no room, in that order; figures go from the last.
_ALWAYS = (take_model.NUMBER, take_model.TIME, take_model.UNIT, take_model.VERDICT)
_RARE = (take_model.LOT, take_model.PROCEDURE)
_FEWEST = 4  # rows, with the head
_FIGURES_FIRST = 3  # so many figures come before the rare columns


class TakeTable(LinesView):
    """Shows a TakeModel; ``chosen`` (id) comes when a person goes to a take.

    Where a take's page is still on its way, ``chosen`` follows when it has come.
    """

    chosen = Signal(str)
    opened = Signal(str)  # a double click, or Enter

    def __init__(self, model: TakeModel, parent: QWidget | None = None) -> None:
        super().__init__("Takes", parent)
        self._model = model
        self._waiting_for: int | None = None  # a row that was gone to before its page was there
        self.setModel(model)
        self.horizontalHeader().setSectionResizeMode(QHeaderView.ResizeMode.Fixed)
        self.selectionModel().currentRowChanged.connect(self._go)
        self.activated.connect(self._open)
        model.modelReset.connect(self._fit)
        model.dataChanged.connect(self._arrive)

    def choose(self, row: int | None) -> None:
        """Go to a row and tell nobody; None: to none."""
        with QSignalBlocker(self):
            if row is None:
                self.setCurrentIndex(QModelIndex())
            else:
                index = self._model.index(row, 0)
                self.setCurrentIndex(index)
                self.scrollTo(index, QAbstractItemView.ScrollHint.EnsureVisible)
        self._waiting_for = None  # set by going there, but nobody asked for it
        self.viewport().update()

    def keyPressEvent(self, event: QKeyEvent) -> None:
        """Go to the newest with Home and to the oldest with End; else as any table."""
        ends = {Qt.Key.Key_Home: 0, Qt.Key.Key_End: self._model.rowCount() - 1}
        row = ends.get(Qt.Key(event.key()))
        if row is None or row < 0:
            super().keyPressEvent(event)
        else:
            self.setCurrentIndex(self._model.index(row, 0))

    def resizeEvent(self, event: QResizeEvent) -> None:
        """Show as many columns as there is room for."""
        super().resizeEvent(event)
        self._fit()

    def _fit(self, *_: object) -> None:
        count = self._model.columnCount()
        figures = range(FIGURES, count)
        wished = (*_ALWAYS, *figures[:_FIGURES_FIRST], *_RARE, *figures[_FIGURES_FIRST:])
        widths = {column: self._width(column) for column in range(count)}
        room, shown = self.viewport().width(), set[int]()
        for column in wished:
            if widths[column] > room:
                break
            shown.add(column)
            room -= widths[column]
        head = self.horizontalHeader()
        for column in range(count):
            self.setColumnHidden(column, column not in shown)
            # What is left goes to the serials, which may be long.
            extra = max(0, room) if column == take_model.UNIT and shown else 0
            head.resizeSection(column, widths[column] + extra)

    def _width(self, column: int) -> int:
        title = str(self._model.headerData(column, Qt.Orientation.Horizontal))
        wide = QFontMetricsF(font(13, bold=True)).horizontalAdvance(self._model.longest(column))
        wide = max(wide, QFontMetricsF(font(12)).horizontalAdvance(title)) + _PADS
        if column == take_model.VERDICT:
            wide += _MARK
        least = _FIGURE if column >= FIGURES else _LEAST
        return round(min(max(wide, least), _MOST))

    def _go(self, current: QModelIndex) -> None:
        if not current.isValid():
            return
        line = self._model.line(current.row())
        self._waiting_for = current.row() if line is None else None
        if line is not None:
            self.chosen.emit(line.id)

    def _arrive(self, first: QModelIndex, last: QModelIndex) -> None:
        self._fit()
        row = self._waiting_for
        if row is not None and first.row() <= row <= last.row():
            self._go(self._model.index(row, 0))

    def _open(self, index: QModelIndex) -> None:
        line = self._model.line(index.row())
        if line is not None:
            self.opened.emit(line.id)


class WholeRows(QWidget):
    """Gives a table so much of its height as whole rows take: none is cut at the foot."""

    def __init__(self, table: TakeTable, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self._table = table
        table.setParent(self)
        self.setMinimumHeight(_FEWEST * ROW)
        self.setFocusProxy(table)

    def resizeEvent(self, event: QResizeEvent) -> None:
        """Cut the table down to whole rows."""
        super().resizeEvent(event)
        self._table.setGeometry(0, 0, self.width(), self.height() // ROW * ROW)
