"""The units that change: two lines each, a bar in its colour while it is drawn in the plot."""

from collections.abc import Sequence

from PySide6.QtCore import (
    QAbstractListModel,
    QModelIndex,
    QObject,
    QPersistentModelIndex,
    QRectF,
    QSize,
    Qt,
    Signal,
)
from PySide6.QtGui import QColor, QGuiApplication, QPainter
from PySide6.QtWidgets import (
    QFrame,
    QHeaderView,
    QStyle,
    QStyledItemDelegate,
    QStyleOptionViewItem,
    QTableView,
    QVBoxLayout,
    QWidget,
)

from app.desktop.controls.prose import Prose
from app.desktop.controls.section_head import SectionHead
from app.desktop.fonts import font
from app.desktop.palette import tokens_of
from app.desktop.plots.write import width_of
from app.desktop.presenters.limits_trial import FlipRow, FlipRows

_ROW = 39
_HINT = (
    "Those that a draft judges otherwise. Press one, or a dot, to draw it; Shift selects several. "
    "G and B note what was found."
)
_BAR, _SERIAL, _GAP = 4.0, 12.0, 12.0

_SELECTING = Qt.KeyboardModifier.ShiftModifier | Qt.KeyboardModifier.ControlModifier

Index = QModelIndex | QPersistentModelIndex


class FlipsPanel(QWidget):
    """Shows units that change; ``pressed`` tells which one a person wants drawn, or no longer.

    Shift and Ctrl select several without drawing them.
    """

    pressed = Signal(int)  # place in the trial
    selection_changed = Signal()

    def __init__(self, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self._head = SectionHead("Units that change")
        self._rows = _Rows(self)
        self.view = _View(self._rows)
        self.view.clicked.connect(self._press)
        self.view.activated.connect(self._press)
        self.view.selectionModel().selectionChanged.connect(
            lambda *_: self.selection_changed.emit()
        )
        self._hint = Prose(_HINT)
        lines = QVBoxLayout(self)
        lines.setContentsMargins(0, 0, 0, 0)
        lines.setSpacing(0)
        lines.addWidget(self._head)
        lines.addWidget(self._hint)
        lines.addWidget(self.view, 1)

    @property
    def rows(self) -> Sequence[FlipRow]:
        """What is shown."""
        return self._rows.rows

    @property
    def selected(self) -> tuple[int, ...]:
        """Several units at once, by their places in the trial; empty below two."""
        chosen = sorted(index.row() for index in self.view.selectedIndexes())
        return tuple(self.rows[row].unit for row in chosen) if len(chosen) > 1 else ()

    def set_rows(self, rows: Sequence[FlipRow], *, fact: str) -> None:
        """Show other units."""
        self._head.set_fact(fact)
        self._hint.setVisible(bool(fact) and not rows)
        if self._rows.put(rows):
            self.view.doItemsLayout()  # now: else all of it is painted twice

    def set_drawn(self, units: Sequence[int]) -> None:
        """Give those a bar that are drawn, in the order of their colours."""
        if tuple(units) != self._rows.drawn:
            self._rows.drawn = tuple(units)
            self.view.viewport().update()

    def _press(self, index: QModelIndex) -> None:
        if QGuiApplication.keyboardModifiers() & _SELECTING:
            return
        self.pressed.emit(self._rows.rows[index.row()].unit)


class _View(QTableView):
    """One column; a list view would ask for every one of thousands of rows when they change."""

    def __init__(self, rows: "_Rows") -> None:
        super().__init__()
        self.setModel(rows)
        self.setSelectionMode(QTableView.SelectionMode.ExtendedSelection)
        self.setSelectionBehavior(QTableView.SelectionBehavior.SelectRows)
        self.setFrameShape(QFrame.Shape.NoFrame)
        self.setShowGrid(False)
        self.setTabKeyNavigation(False)
        self.setAccessibleName("Units that change")
        self.setItemDelegate(_TwoLines(self, rows))
        self.viewport().setAutoFillBackground(False)
        self.setHorizontalScrollBarPolicy(Qt.ScrollBarPolicy.ScrollBarAlwaysOff)
        self.setVerticalScrollMode(QTableView.ScrollMode.ScrollPerItem)
        across, down = self.horizontalHeader(), self.verticalHeader()
        for head in (across, down):
            head.hide()
        across.setSectionResizeMode(QHeaderView.ResizeMode.Stretch)
        down.setMinimumSectionSize(_ROW)
        down.setDefaultSectionSize(_ROW)
        down.setSectionResizeMode(QHeaderView.ResizeMode.Fixed)


class _Rows(QAbstractListModel):
    def __init__(self, parent: QObject) -> None:
        super().__init__(parent)
        self.rows: Sequence[FlipRow] = ()
        self.drawn: tuple[int, ...] = ()

    def put(self, rows: Sequence[FlipRow]) -> bool:
        """Show other rows; tell whether they say something else."""
        if isinstance(rows, FlipRows) and rows.says_what(self.rows):
            return False
        self.beginResetModel()
        self.rows = rows
        self.endResetModel()
        return True

    def rowCount(self, parent: Index | None = None) -> int:
        return 0 if parent is not None and parent.isValid() else len(self.rows)

    def shown(self, at: int) -> tuple[FlipRow, int]:
        """Return a row, and which take's colour it has; 0: it is not drawn."""
        row = self.rows[at]
        return row, self.drawn.index(row.unit) + 2 if row.unit in self.drawn else 0

    def data(self, index: Index, role: int = Qt.ItemDataRole.DisplayRole) -> object:
        row = self.rows[index.row()]
        if role in {Qt.ItemDataRole.DisplayRole, Qt.ItemDataRole.ToolTipRole}:
            return f"{row.whole_serial} {row.after}, {row.why}"
        return None


class _TwoLines(QStyledItemDelegate):
    def __init__(self, view: QTableView, rows: "_Rows") -> None:
        super().__init__(view)
        self._view, self._rows = view, rows

    def sizeHint(self, option: QStyleOptionViewItem, index: Index) -> QSize:  # noqa: ARG002
        return QSize(200, _ROW)

    def _has_several(self) -> bool:
        return len(self._view.selectedIndexes()) > 1

    def paint(self, painter: QPainter, option: QStyleOptionViewItem, index: Index) -> None:
        tokens = tokens_of(self._view)
        row, take = self._rows.shown(index.row())
        cell = QRectF(option.rect)
        is_one_of = option.state & QStyle.StateFlag.State_Selected and self._has_several()
        if is_one_of or option.state & QStyle.StateFlag.State_HasFocus:
            painter.fillRect(cell, QColor(tokens.card))
        painter.fillRect(QRectF(cell.left(), cell.bottom(), cell.width(), 1), QColor(tokens.hair))
        if take:
            bar = cell.adjusted(0, 4, 0, -5)
            bar.setWidth(_BAR)
            painter.fillRect(bar, QColor(tokens.takes[take - 1]))
        left = cell.left() + _SERIAL
        middle = Qt.AlignmentFlag.AlignVCenter | Qt.AlignmentFlag.AlignLeft
        painter.setFont(font(13, bold=True))
        painter.setPen(QColor(tokens.ink))
        painter.drawText(QRectF(left, cell.top(), 120, _ROW - 1), middle, row.serial)
        left += max(34.0, width_of(row.serial, px=13, bold=True)) + _GAP
        upper = QRectF(left, cell.top() + 2, cell.right() - left, 17)
        painter.setFont(font(12))
        painter.drawText(upper, middle, row.after)
        painter.setPen(QColor(tokens.ink3))
        why = row.why
        if width_of(why, px=12) > upper.width():
            why = painter.fontMetrics().elidedText(
                why, Qt.TextElideMode.ElideRight, round(upper.width())
            )
        painter.drawText(upper.translated(0, 17), middle, why)
