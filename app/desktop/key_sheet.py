"""The keys of a bay, and every action by a word of it: type, choose, Enter."""

from dataclasses import dataclass

from PySide6.QtCore import (
    QEvent,
    QModelIndex,
    QObject,
    QPersistentModelIndex,
    QRectF,
    QSize,
    Qt,
    Signal,
)
from PySide6.QtGui import QColor, QFontMetricsF, QKeyEvent, QKeySequence, QPainter, QPen
from PySide6.QtWidgets import (
    QDialog,
    QFrame,
    QLineEdit,
    QListWidget,
    QListWidgetItem,
    QStyle,
    QStyledItemDelegate,
    QStyleOptionViewItem,
    QVBoxLayout,
    QWidget,
)

from app.desktop.actions import ACTIONS, Actions, ActionSpec
from app.desktop.controls.check import Check
from app.desktop.controls.section_head import SectionHead
from app.desktop.fonts import font
from app.desktop.palette import tokens_of
from app.desktop.text import key_words

_ROW, _WIDTH, _HEIGHT = 28, 480, 560
_CAP = 18.0
_LINE = Qt.ItemDataRole.UserRole


@dataclass(frozen=True, slots=True, kw_only=True)
class Line:
    """An action as the sheet lists it."""

    spec: ActionSpec
    keys: tuple[str, ...]
    is_enabled: bool

    @property
    def said(self) -> str:
        """Everything by which it may be found."""
        return " ".join((self.spec.text, self.spec.menu, *self.keys)).lower()


def lines(actions: Actions, *, words: str, bay: str | None) -> tuple[Line, ...]:
    """Return the actions that have every word in text, menu or key.

    Parameters
    ----------
    actions : Actions
        What can be done now.
    words : str
        As typed; empty: every action.
    bay : str or None
        Only what holds in a bay, the bay's own first; None: everything that there is.
    """
    wanted = words.lower().split()
    found = [
        Line(
            spec=spec,
            keys=tuple(key_words(QKeySequence(key)) for key in spec.keys),
            is_enabled=(action := actions.find(spec.id)) is not None and action.isEnabled(),
        )
        for spec in ACTIONS
        if bay is None or not spec.bays or bay in spec.bays
    ]
    if bay is not None:
        found.sort(key=lambda line: not line.spec.bays)
    return tuple(line for line in found if all(word in line.said for word in wanted))


class KeySheet(QDialog):
    """A field above a list; Up and Down choose, Enter acts, Esc leaves.

    ``letters_switched`` says whether single letters shall act (WCAG 2.1, 2.1.4).

    Parameters
    ----------
    actions : Actions
        What can be done now.
    bay : str or None
        Whose keys are listed; None: every action.
    letters : bool
        Whether single letters act now.
    """

    letters_switched = Signal(bool)

    def __init__(
        self, actions: Actions, *, bay: str | None, letters: bool, parent: QWidget
    ) -> None:
        super().__init__(parent)
        self._actions, self._bay = actions, bay
        title = f"Keys in {bay.capitalize()}" if bay else "Find an action"
        self.setWindowTitle(title)
        self.setMinimumSize(_WIDTH, _HEIGHT)
        self.field = QLineEdit(self)
        self.field.setPlaceholderText("a word of it, or its key")
        self.field.setAccessibleName("find an action")
        self.field.setFont(font(13))
        self.field.setTextMargins(6, 0, 6, 0)
        self.field.setMinimumHeight(30)
        self.field.textChanged.connect(self._fill)
        self.field.installEventFilter(self)
        self.list = QListWidget(self)
        self.list.setFrameShape(QFrame.Shape.NoFrame)
        self.list.setHorizontalScrollBarPolicy(Qt.ScrollBarPolicy.ScrollBarAlwaysOff)
        self.list.setItemDelegate(_Row(self.list))
        self.list.setAccessibleName("actions")
        self.list.setFocusPolicy(Qt.FocusPolicy.NoFocus)  # the field steers it
        self.list.itemClicked.connect(self._act)
        self.letters = Check("Single letters act outside text fields", checked=letters)
        self.letters.toggled.connect(self.letters_switched)
        column = QVBoxLayout(self)
        column.setContentsMargins(16, 12, 16, 16)
        column.setSpacing(8)
        column.addWidget(SectionHead(title, "Enter acts, Esc leaves", ruled=False))
        column.addWidget(self.field)
        column.addWidget(self.list, 1)
        column.addWidget(self.letters)
        self._fill("")
        self.field.setFocus()

    def eventFilter(self, watched: QObject, event: QEvent) -> bool:
        """Let the field's Up, Down and Enter steer the list."""
        if event.type() == QEvent.Type.KeyPress and isinstance(event, QKeyEvent):
            key = event.key()
            if key in {Qt.Key.Key_Up, Qt.Key.Key_Down}:
                self._step(1 if key == Qt.Key.Key_Down else -1)
                return True
            if key in {Qt.Key.Key_Return, Qt.Key.Key_Enter}:
                if (item := self.list.currentItem()) is not None:
                    self._act(item)
                return True
        return super().eventFilter(watched, event)

    def _fill(self, words: str) -> None:
        self.list.clear()
        for line in lines(self._actions, words=words, bay=self._bay):
            item = QListWidgetItem(f"{line.spec.text}, {', '.join(line.keys)}")
            item.setData(_LINE, line)
            self.list.addItem(item)
        self.list.setCurrentRow(0)

    def _step(self, by: int) -> None:
        there = self.list.currentRow() + by
        self.list.setCurrentRow(min(max(there, 0), self.list.count() - 1))

    def _act(self, item: QListWidgetItem) -> None:
        line: Line = item.data(_LINE)
        if line.is_enabled:
            self.accept()  # first, so that what it does finds the window in front
            self._actions.of(line.spec.id).trigger()


class _Row(QStyledItemDelegate):
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
        line: Line = index.data(_LINE)
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
        right = box.right() - 8
        painter.setFont(font(11))
        for key in reversed(line.keys):
            wide = max(_CAP, QFontMetricsF(font(11)).horizontalAdvance(key) + 12)
            cap = QRectF(right - wide, box.center().y() - _CAP / 2, wide, _CAP)
            painter.setPen(QPen(QColor(tokens.edge), 1))
            painter.drawRoundedRect(cap, 3, 3)
            painter.setPen(QColor(tokens.ink2))
            painter.drawText(cap, Qt.AlignmentFlag.AlignCenter, key)
            right -= wide + 6
        painter.setPen(QColor(tokens.ink3))
        painter.drawText(
            QRectF(box.left(), box.top(), right - box.left() - 8, box.height()),
            middle | Qt.AlignmentFlag.AlignRight,
            line.spec.menu,
        )
        painter.restore()
