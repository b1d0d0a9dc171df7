"""A row of the sheet of keys, painted: words, menu, caps."""

from PySide6.QtCore import QModelIndex, QPersistentModelIndex, QRectF, QSize, Qt
from PySide6.QtGui import QColor, QFontMetricsF, QPainter, QPen
from PySide6.QtWidgets import QStyle, QStyledItemDelegate, QStyleOptionViewItem

from app.desktop.fonts import font
from app.desktop.key_lines import Line
from app.desktop.palette import tokens_of

LINE_ROLE = Qt.ItemDataRole.UserRole
_ROW = 28
_CAP, _GAP, _RIGHT = 18.0, 6.0, 8.0  # px
_LEAST = 40.0  # px of a row that belong to its caps, for a pointer


def caps_width(line: Line) -> float:
    """Return how much of a row's right end is for its caps, px."""
    return max(_LEAST, sum(_cap_width(key) + _GAP for key in line.keys) + _RIGHT)


def _cap_width(key: str) -> float:
    return max(_CAP, QFontMetricsF(font(11)).horizontalAdvance(key) + 12)


class KeyRow(QStyledItemDelegate):
    """Words left, menu quiet, keys in caps at the right."""

    def sizeHint(
        self,
        option: QStyleOptionViewItem,  # noqa: ARG002
        index: QModelIndex | QPersistentModelIndex,  # noqa: ARG002
    ) -> QSize:
        """Return a row's height."""
        return QSize(0, _ROW)  # as wide as the list

    def paint(
        self,
        painter: QPainter,
        option: QStyleOptionViewItem,
        index: QModelIndex | QPersistentModelIndex,
    ) -> None:
        """Paint one action."""
        line: Line = index.data(LINE_ROLE)
        tokens = tokens_of(option.widget)
        box = QRectF(option.rect)
        chosen = bool(option.state & QStyle.StateFlag.State_Selected)
        painter.save()
        painter.setRenderHint(QPainter.RenderHint.Antialiasing)
        painter.fillRect(box, QColor(tokens.card if chosen else tokens.paper))
        if chosen:
            painter.fillRect(QRectF(box.left(), box.top(), 3, box.height()), QColor(tokens.ink))
        painter.fillRect(QRectF(box.left(), box.bottom(), box.width(), 1), QColor(tokens.hair))
        middle = Qt.AlignmentFlag.AlignVCenter
        painter.setFont(font(13, bold=chosen))
        painter.setPen(QColor(tokens.ink if line.is_enabled else tokens.ink3))
        painter.drawText(box.adjusted(12, 0, 0, 0), middle, line.spec.text)
        right = box.right() - _RIGHT
        painter.setFont(font(11))
        for key in reversed(line.keys):
            wide = _cap_width(key)
            cap = QRectF(right - wide, box.center().y() - _CAP / 2, wide, _CAP)
            painter.setPen(QPen(QColor(tokens.edge), 1))
            painter.drawRoundedRect(cap, 3, 3)
            painter.setPen(QColor(tokens.ink2))
            painter.drawText(cap, Qt.AlignmentFlag.AlignCenter, key)
            right -= wide + _GAP
        painter.setPen(QColor(tokens.ink3))
        painter.drawText(
            QRectF(box.left(), box.top(), right - box.left() - 8, box.height()),
            middle | Qt.AlignmentFlag.AlignRight,
            f"{line.spec.menu}, ours: {line.ours}" if line.ours else line.spec.menu,
        )
        painter.restore()
