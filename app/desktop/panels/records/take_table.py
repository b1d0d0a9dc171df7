"""The table of takes: as quick with a hundred thousand as with ten."""

from PySide6.QtCore import QModelIndex, QSignalBlocker, Signal
from PySide6.QtGui import QResizeEvent
from PySide6.QtWidgets import QAbstractItemView, QHeaderView, QWidget

from app.desktop.controls.lines_view import LinesView
from app.desktop.panels.records import take_model
from app.desktop.panels.records.take_model import FIGURES, TakeModel

_WIDTHS = {
    take_model.NUMBER: 62,
    take_model.TIME: 136,
    take_model.UNIT: 118,
    take_model.LOT: 92,
    take_model.VERDICT: 150,
    take_model.PROCEDURE: 120,
}
_FIGURE, _FIRST_FIGURE = 86, 104
# What is left out where there is no room, in that order; figures go from the last.
_ALWAYS = (take_model.NUMBER, take_model.TIME, take_model.UNIT, take_model.VERDICT)
_RARE = (take_model.LOT, take_model.PROCEDURE)
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

    def resizeEvent(self, event: QResizeEvent) -> None:
        """Show as many columns as there is room for."""
        super().resizeEvent(event)
        self._fit()

    def _fit(self) -> None:
        figures = range(FIGURES, self._model.columnCount())
        widths = _WIDTHS | {n: _FIGURE if n > FIGURES else _FIRST_FIGURE for n in figures}
        wished = (*_ALWAYS, *figures[:_FIGURES_FIRST], *_RARE, *figures[_FIGURES_FIRST:])
        room, shown = self.viewport().width(), set[int]()
        for column in wished:
            if widths[column] > room:
                break
            shown.add(column)
            room -= widths[column]
        head = self.horizontalHeader()
        for column in range(self._model.columnCount()):
            self.setColumnHidden(column, column not in shown)
            head.resizeSection(column, widths[column])
        if shown:
            # What is left goes to the serials, which may be long.
            head.resizeSection(take_model.UNIT, widths[take_model.UNIT] + max(0, room))

    def _go(self, current: QModelIndex) -> None:
        if not current.isValid():
            return
        line = self._model.line(current.row())
        self._waiting_for = current.row() if line is None else None
        if line is not None:
            self.chosen.emit(line.id)

    def _arrive(self, first: QModelIndex, last: QModelIndex) -> None:
        row = self._waiting_for
        if row is not None and first.row() <= row <= last.row():
            self._go(self._model.index(row, 0))

    def _open(self, index: QModelIndex) -> None:
        line = self._model.line(index.row())
        if line is not None:
            self.opened.emit(line.id)
