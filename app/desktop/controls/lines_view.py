"""A table to choose one row from: 26 px rows, hairlines, an ink bar at the chosen one."""

from PySide6.QtCore import QAbstractItemModel, QModelIndex, QPersistentModelIndex, QRectF, QSize, Qt
from PySide6.QtGui import QColor, QFontMetricsF, QPainter
from PySide6.QtWidgets import (
    QAbstractItemView,
    QFrame,
    QHeaderView,
    QStyledItemDelegate,
    QStyleOptionViewItem,
    QTableView,
    QWidget,
)

from app.desktop import glyphs
from app.desktop.fonts import font
from app.desktop.palette import tokens_of
from app.desktop.presenters.mark import Mark

ROW = 26
MARK_ROLE = Qt.ItemDataRole.UserRole + 1  # a Mark that stands before a cell's words
QUIET_ROLE = Qt.ItemDataRole.UserRole + 2  # True: in the second ink until its row is chosen
HUE_ROLE = Qt.ItemDataRole.UserRole + 3  # colour of a take, as a bar before the first cell

_PAD = 8.0
_GLYPH = 13.0
_BAR = 3.0

Index = QModelIndex | QPersistentModelIndex


class _Cells(QStyledItemDelegate):
    """Paints a cell; what is chosen is bold, on card."""

    def __init__(self, view: QTableView) -> None:
        super().__init__(view)
        self._view = view

    def paint(self, painter: QPainter, option: QStyleOptionViewItem, index: Index) -> None:
        tokens = tokens_of(self._view)
        chosen = self._view.currentIndex().row() == index.row()
        cell = QRectF(option.rect)
        if chosen:
            painter.fillRect(cell, QColor(tokens.card))
        painter.fillRect(
            QRectF(cell.left(), cell.bottom() - 1, cell.width(), 1), QColor(tokens.hair)
        )
        if index.column() == 0:
            bar = QRectF(cell.left(), cell.top(), _BAR, cell.height())
            hue = index.data(HUE_ROLE)
            if chosen or hue:
                painter.fillRect(bar, QColor(hue or tokens.ink))
        room = cell.adjusted(_PAD, 0, -_PAD, -1)
        mark = index.data(MARK_ROLE)
        if isinstance(mark, Mark):
            top = room.center().y() - _GLYPH / 2
            at = QRectF(room.left(), top, _GLYPH, _GLYPH)
            glyphs.paint(painter, mark, at, tokens=tokens)
            room.adjust(_GLYPH + 7, 0, 0, 0)
        quiet = bool(index.data(QUIET_ROLE)) and not chosen
        face = font(13, bold=chosen)
        painter.setFont(face)
        painter.setPen(QColor(tokens.ink2 if quiet else tokens.ink))
        words = str(index.data(Qt.ItemDataRole.DisplayRole) or "")
        align = Qt.AlignmentFlag(
            index.data(Qt.ItemDataRole.TextAlignmentRole) or Qt.AlignmentFlag.AlignLeft
        )
        short = QFontMetricsF(face).elidedText(words, Qt.TextElideMode.ElideRight, room.width() + 1)
        painter.drawText(room, align | Qt.AlignmentFlag.AlignVCenter, short)

    def sizeHint(self, option: QStyleOptionViewItem, index: Index) -> QSize:  # noqa: ARG002
        words = str(index.data(Qt.ItemDataRole.DisplayRole) or "")
        wide = QFontMetricsF(font(13, bold=True)).horizontalAdvance(words) + 2 * _PAD
        if index.data(MARK_ROLE) is not None:
            wide += _GLYPH + 7
        return QSize(round(wide) + 1, ROW)


class _Head(QHeaderView):
    """Titles in the third ink between a rule and a hairline."""

    def __init__(self, parent: QWidget) -> None:
        super().__init__(Qt.Orientation.Horizontal, parent)
        self.setFixedHeight(ROW)
        self.setMinimumSectionSize(20)
        self.setHighlightSections(False)

    def paintSection(self, painter: QPainter, rect: object, section: int) -> None:
        cell = QRectF(rect)  # type: ignore[call-overload]
        tokens, model = tokens_of(self), self.model()
        painter.fillRect(cell, QColor(tokens.paper))
        painter.fillRect(QRectF(cell.left(), cell.top(), cell.width(), 1), QColor(tokens.edge))
        foot = QRectF(cell.left(), cell.bottom() - 1, cell.width(), 1)
        painter.fillRect(foot, QColor(tokens.hair))
        title = model.headerData(section, Qt.Orientation.Horizontal)
        align = model.headerData(
            section, Qt.Orientation.Horizontal, Qt.ItemDataRole.TextAlignmentRole
        )
        room = cell.adjusted(_PAD, 1, -_PAD, -1)
        face = font(12)
        short = QFontMetricsF(face).elidedText(
            str(title or ""), Qt.TextElideMode.ElideRight, room.width() + 1
        )
        painter.setFont(face)
        painter.setPen(QColor(tokens.ink3))
        painter.drawText(
            room,
            Qt.AlignmentFlag(align or Qt.AlignmentFlag.AlignLeft) | Qt.AlignmentFlag.AlignVCenter,
            short,
        )


class LinesView(QTableView):
    """A table view that looks and walks as all of ours; give it any model.

    Cells take ``MARK_ROLE``, ``QUIET_ROLE`` and, in the first column, ``HUE_ROLE``.
    """

    def __init__(self, name: str = "", parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self.setAccessibleName(name)
        self.setFrameShape(QFrame.Shape.NoFrame)
        self.setShowGrid(False)
        self.setWordWrap(False)
        self.setTabKeyNavigation(False)
        self.setSelectionBehavior(QAbstractItemView.SelectionBehavior.SelectRows)
        self.setSelectionMode(QAbstractItemView.SelectionMode.SingleSelection)
        self.setEditTriggers(QAbstractItemView.EditTrigger.NoEditTriggers)
        self.setHorizontalScrollBarPolicy(Qt.ScrollBarPolicy.ScrollBarAlwaysOff)
        self.setVerticalScrollMode(QAbstractItemView.ScrollMode.ScrollPerItem)
        self.setHorizontalHeader(_Head(self))
        rows = self.verticalHeader()
        rows.hide()
        rows.setMinimumSectionSize(ROW)
        rows.setDefaultSectionSize(ROW)
        rows.setSectionResizeMode(QHeaderView.ResizeMode.Fixed)
        self.setItemDelegate(_Cells(self))
        self.viewport().setAutoFillBackground(False)

    def setModel(self, model: QAbstractItemModel | None) -> None:
        """Show a model; a row is repainted whole when the chosen one moves."""
        super().setModel(model)
        if model is not None:
            self.selectionModel().currentRowChanged.connect(self._repaint)

    def _repaint(self) -> None:
        self.viewport().update()
