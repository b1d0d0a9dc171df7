"""All break points of a mask as a table to type into; plot and table show the same mask."""

from collections.abc import Sequence
from dataclasses import dataclass

from PySide6.QtCore import QAbstractTableModel, QModelIndex, QObject, QSignalBlocker, Qt, Signal
from PySide6.QtGui import QColor, QKeyEvent, QPainter, QPaintEvent, QPen
from PySide6.QtWidgets import QAbstractItemView, QHeaderView, QVBoxLayout, QWidget

from app.desktop.controls.lines_view import QUIET_ROLE, Index, LinesView
from app.desktop.controls.section_head import SectionHead
from app.desktop.controls.words import Ink, Words
from app.desktop.palette import tokens_of
from app.desktop.presenters.capital import capital
from app.desktop.presenters.limits_point import Chosen
from app.desktop.presenters.limits_table import PointRow
from app.desktop.presenters.limits_typed import typed_figure
from app.procedure.edit_masks import EditRefusedError

_RIGHT = Qt.AlignmentFlag.AlignRight
_TITLES = ("limit", "Hz", "")
_SIDE, _HZ = 72, 84  # px


@dataclass(frozen=True, slots=True, kw_only=True)
class TypedPoint:
    """What a person typed: which point, its frequency in Hz, its limit."""

    place: Chosen
    hz: float
    value: float


@dataclass(frozen=True, slots=True, kw_only=True)
class _Refused:
    row: int
    column: int
    text: str


class PointsTable(QWidget):
    """Shows rows; a refused figure stays in its cell, with the reason beneath the table."""

    typed = Signal(object)  # TypedPoint
    chosen = Signal(object)  # Chosen

    def __init__(self, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self._head = SectionHead("Break points")
        self._rows = _Rows(self)
        self.view = _View(self._rows)
        self._refusal = Words(ink=Ink.BAD, px=12, wraps=True)
        self._refusal.hide()
        lines = QVBoxLayout(self)
        lines.setContentsMargins(0, 0, 0, 0)
        lines.setSpacing(2)
        lines.addWidget(self._head)
        lines.addWidget(self.view, 1)
        lines.addWidget(self._refusal)
        self._rows.typed.connect(self.typed)
        self._rows.no_number.connect(self.refuse)
        self.view.selectionModel().currentRowChanged.connect(self._choose)

    @property
    def rows(self) -> tuple[PointRow, ...]:
        """What is shown."""
        return self._rows.rows

    @property
    def refusal(self) -> str:
        """Why the last figure was not accepted; empty where it was."""
        return "" if self._refusal.isHidden() else self._refusal.text()

    def set_rows(self, rows: Sequence[PointRow], *, fact: str, unit: str) -> None:
        """Show another mask, or the same after an edit."""
        self._head.set_fact(fact)
        if tuple(rows) != self._rows.rows or unit != self._rows.unit:
            self.accept()
            with QSignalBlocker(self.view.selectionModel()):
                self._rows.put(rows, unit=unit)

    def choose(self, place: Chosen | None) -> None:
        """Choose a row, and tell nobody."""
        at = next((n for n, row in enumerate(self._rows.rows) if row.place == place), -1)
        index = self._rows.index(at, max(1, self.view.currentIndex().column()))
        if self.view.currentIndex().row() != at:
            with QSignalBlocker(self.view.selectionModel()):
                self.view.setCurrentIndex(index if at >= 0 else QModelIndex())
            self.view.viewport().update()
            if at >= 0:
                self.view.scrollTo(index)

    def refuse(self, sentence: str) -> None:
        """Say what is wrong with what was typed last; it stays in its cell."""
        self._refusal.set_text(sentence)
        self._refusal.show()
        self._rows.keep_refused()

    def accept(self) -> None:
        """Take a refusal back."""
        self._refusal.hide()
        if self._rows.refused is not None:
            self._rows.refused = None
            self.view.viewport().update()

    def _choose(self, current: QModelIndex) -> None:
        if current.isValid():
            self.chosen.emit(self._rows.rows[current.row()].place)


class _View(LinesView):
    """Edits on a double click, on F2, and as soon as a figure is typed."""

    def __init__(self, rows: "_Rows") -> None:
        super().__init__("Break points")
        self._points = rows
        self.setModel(rows)
        trigger = QAbstractItemView.EditTrigger
        self.setEditTriggers(trigger.DoubleClicked | trigger.EditKeyPressed | trigger.AnyKeyPressed)
        self.setSelectionBehavior(QAbstractItemView.SelectionBehavior.SelectItems)
        head = self.horizontalHeader()
        for column, width in enumerate((_SIDE, _HZ)):
            head.setSectionResizeMode(column, QHeaderView.ResizeMode.Fixed)
            head.resizeSection(column, width)
        head.setSectionResizeMode(2, QHeaderView.ResizeMode.Stretch)

    def keyPressEvent(self, event: QKeyEvent) -> None:
        """Begin to type with Enter; leave Ins and Del to the actions."""
        if event.key() in {Qt.Key.Key_Return, Qt.Key.Key_Enter}:
            self.edit(self.currentIndex())
        elif event.key() in {Qt.Key.Key_Insert, Qt.Key.Key_Delete}:
            event.ignore()
        else:
            super().keyPressEvent(event)

    def paintEvent(self, event: QPaintEvent) -> None:
        """Paint the cells, and the edge of the one that was refused."""
        super().paintEvent(event)
        refused, current = self._points.refused, self.currentIndex()
        painter, tokens = QPainter(self.viewport()), tokens_of(self)
        painter.setBrush(Qt.BrushStyle.NoBrush)
        if self.hasFocus() and current.isValid() and current.column():
            painter.setPen(QPen(QColor(tokens.focus), 2))
            painter.drawRect(self.visualRect(current).adjusted(2, 2, -2, -2))
        if refused is not None:
            painter.setPen(QPen(QColor(tokens.bad), 2))
            cell = self.visualRect(self._points.index(refused.row, refused.column))
            painter.drawRect(cell.adjusted(2, 2, -2, -2))
        painter.end()


class _Rows(QAbstractTableModel):
    typed = Signal(object)
    no_number = Signal(str)

    def __init__(self, parent: QObject) -> None:
        super().__init__(parent)
        self.rows: tuple[PointRow, ...] = ()
        self.unit = ""
        self.refused: _Refused | None = None
        self._last: _Refused | None = None

    def put(self, rows: Sequence[PointRow], *, unit: str) -> None:
        same = len(rows) == len(self.rows) and unit == self.unit
        if same:  # an editor or a chosen cell stays where it is
            before, self.rows = self.rows, tuple(rows)
            for at, (row, was) in enumerate(zip(rows, before, strict=True)):
                for column in range(len(_TITLES)) if row != was else ():
                    cell = self.index(at, column)
                    self.dataChanged.emit(cell, cell)  # of several at once Qt repaints all there is
            return
        self.beginResetModel()
        self.rows, self.unit = tuple(rows), unit
        self.endResetModel()

    def keep_refused(self) -> None:
        self.refused = self._last
        self.dataChanged.emit(self.index(0, 0), self.index(len(self.rows) - 1, 2))

    def rowCount(self, parent: Index | None = None) -> int:
        return 0 if parent is not None and parent.isValid() else len(self.rows)

    def columnCount(self, parent: Index | None = None) -> int:
        return 0 if parent is not None and parent.isValid() else len(_TITLES)

    def flags(self, index: Index) -> Qt.ItemFlag:
        flags = super().flags(index)
        return flags | Qt.ItemFlag.ItemIsEditable if index.column() else flags

    def data(self, index: Index, role: int = Qt.ItemDataRole.DisplayRole) -> object:
        if role in {Qt.ItemDataRole.DisplayRole, Qt.ItemDataRole.EditRole}:
            refused = self.refused
            if refused is not None and (refused.row, refused.column) == (
                index.row(),
                index.column(),
            ):
                return refused.text
            return self.rows[index.row()].cells[index.column()]
        if role == Qt.ItemDataRole.TextAlignmentRole:
            return _RIGHT if index.column() else Qt.AlignmentFlag.AlignLeft
        return (role == QUIET_ROLE and not index.column()) or None

    def setData(self, index: Index, value: object, role: int = Qt.ItemDataRole.EditRole) -> bool:
        if role != Qt.ItemDataRole.EditRole:
            return False
        row, text = self.rows[index.row()], str(value)
        self._last = _Refused(row=index.row(), column=index.column(), text=text)
        if self.refused is None and text == row.cells[index.column()]:
            return True
        at_hz = index.column() == 1
        try:
            number = typed_figure(text, key="at", unit="Hz" if at_hz else self.unit)
        except EditRefusedError as error:
            self.no_number.emit(f"{capital(str(error))}.")
            return False
        hz, limit = (number, row.value) if at_hz else (row.hz, number)
        self.typed.emit(TypedPoint(place=row.place, hz=hz, value=limit))
        return True

    def headerData(
        self,
        section: int,
        orientation: Qt.Orientation,
        role: int = Qt.ItemDataRole.DisplayRole,
    ) -> object:
        if orientation is Qt.Orientation.Vertical:
            return None
        if role == Qt.ItemDataRole.DisplayRole:
            return _TITLES[section] or self.unit
        if role == Qt.ItemDataRole.TextAlignmentRole:
            return _RIGHT if section else Qt.AlignmentFlag.AlignLeft
        return None
