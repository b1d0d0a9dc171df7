"""The keys of a bay, and every action by a word of it: type, choose, Enter; F2 sets another key."""

from PySide6.QtCore import QEvent, QObject, QPoint, Qt, Signal
from PySide6.QtGui import QAction, QKeyEvent, QKeySequence, QMouseEvent
from PySide6.QtWidgets import (
    QDialog,
    QFrame,
    QHBoxLayout,
    QLineEdit,
    QListWidget,
    QListWidgetItem,
    QVBoxLayout,
    QWidget,
)

from app.desktop.actions import Actions, ActionSpec
from app.desktop.controls.check import Check
from app.desktop.controls.key_button import KeyButton
from app.desktop.controls.section_head import SectionHead
from app.desktop.controls.words import Ink, Words
from app.desktop.fonts import font
from app.desktop.key_lines import Line, lines
from app.desktop.key_row import LINE_ROLE, KeyRow, caps_width
from app.desktop.own_keys import FIXED, OwnKeys

_WIDTH, _HEIGHT = 480, 560
_HINT = "F2, or a press on its cap, sets another key."
_MODIFIERS = {
    *(Qt.Key.Key_Shift, Qt.Key.Key_Control, Qt.Key.Key_Alt, Qt.Key.Key_Meta, Qt.Key.Key_AltGr),
    *(Qt.Key.Key_CapsLock, Qt.Key.Key_NumLock, Qt.Key.Key_unknown),
}


class KeySheet(QDialog):
    """A field above a list; Up and Down choose, Enter acts, F2 listens for a key, Esc leaves.

    ``letters_switched`` says whether single letters shall act (WCAG 2.1, 2.1.4); ``own_changed``
    carries the OwnKeys that a person wants from now on.

    Parameters
    ----------
    actions : Actions
        What can be done now.
    bay : str or None
        Whose keys are listed; None: every action.
    letters : bool
        Whether single letters act now.
    own : OwnKeys
        The keys that a person has set so far.
    """

    letters_switched = Signal(bool)
    own_changed = Signal(object)

    def __init__(
        self, actions: Actions, *, bay: str | None, letters: bool, own: OwnKeys, parent: QWidget
    ) -> None:
        super().__init__(parent)
        self._actions, self._bay, self._own = actions, bay, own
        self._listens: ActionSpec | None = None  # for the next key
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
        self.list.setItemDelegate(KeyRow(self.list))
        self.list.setAccessibleName("actions")
        self.list.setFocusPolicy(Qt.FocusPolicy.NoFocus)  # the field steers it
        self.list.viewport().installEventFilter(self)
        self.told = Words(_HINT, ink=Ink.LABEL, px=12, wraps=True)
        self.letters = Check("Single letters act outside text fields", checked=letters)
        self.letters.toggled.connect(self.letters_switched)
        self.ours = QAction("All as ours", self)
        self.ours.triggered.connect(lambda: self._take(OwnKeys()))
        column = QVBoxLayout(self)
        column.setContentsMargins(16, 12, 16, 16)
        column.setSpacing(8)
        column.addWidget(SectionHead(title, "Enter acts, Esc leaves", ruled=False))
        column.addWidget(self.field)
        column.addWidget(self.list, 1)
        column.addWidget(self.told)
        foot = QHBoxLayout()
        foot.addWidget(self.letters, 1)
        foot.addWidget(KeyButton(self.ours))
        column.addLayout(foot)
        self._fill("")
        self.field.setFocus()

    def eventFilter(self, watched: QObject, event: QEvent) -> bool:
        """Let the field's keys steer the list, or be the key that is listened for."""
        if isinstance(event, QMouseEvent) and event.type() == QEvent.Type.MouseButtonRelease:
            self._point_at(event.position().toPoint())
        if not isinstance(event, QKeyEvent):
            return super().eventFilter(watched, event)
        if self._listens is not None and event.type() == QEvent.Type.ShortcutOverride:
            event.accept()  # no shortcut of any window: it is to be the key
            return True
        if event.type() != QEvent.Type.KeyPress:
            return super().eventFilter(watched, event)
        if self._listens is not None:
            self._hear(event, self._listens)
            return True
        return self._steer(event) or super().eventFilter(watched, event)

    def _steer(self, event: QKeyEvent) -> bool:
        match event.key():
            case Qt.Key.Key_Up | Qt.Key.Key_Down as key:
                self._step(1 if key == Qt.Key.Key_Down else -1)
            case Qt.Key.Key_Return | Qt.Key.Key_Enter:
                if (line := self._chosen()) is not None:
                    self._act(line)
            case Qt.Key.Key_F2:
                if (line := self._chosen()) is not None:
                    self._listen(line)
            case _:
                return False
        return True

    def _point_at(self, at: QPoint) -> None:
        item = self.list.itemAt(at)
        if item is None:
            return
        line: Line = item.data(LINE_ROLE)
        if at.x() >= self.list.viewport().width() - caps_width(line):
            self._listen(line)
        else:
            self._act(line)

    def _listen(self, line: Line) -> None:
        """Take the next key for an action, if it may have another at all."""
        self.list.setCurrentRow(self._row_of(line.spec))
        if line.spec.id in FIXED:
            self._tell(FIXED[line.spec.id], is_bad=True)
            return
        self._listens = line.spec
        ours = ", Backspace takes ours again" if line.ours else ""
        self._tell(f"{line.spec.text.rstrip('…')}: press its new key{ours}, Esc leaves it.")
        self.field.setFocus()

    def _hear(self, event: QKeyEvent, spec: ActionSpec) -> None:
        if event.key() in _MODIFIERS:
            return  # the key itself is still to come
        key = QKeySequence(event.keyCombination()).toString()
        if key == "Esc":
            self._forget()
        elif key == "Backspace":
            self._settle(spec, refused=self._own.why_not_ours(spec), own=self._own.without(spec))
        else:
            refused = self._own.why_not(spec, key)
            self._settle(spec, refused=refused, own=self._own.with_key(spec, key))

    def _settle(self, spec: ActionSpec, *, refused: str, own: OwnKeys) -> None:
        """Take it and listen no more; refused, say why and go on listening."""
        if refused:
            self._tell(f"{refused} Another key, or Esc.", is_bad=True)
            return
        self._listens = None
        self._take(own)
        self.list.setCurrentRow(self._row_of(spec))

    def _take(self, own: OwnKeys) -> None:
        self._own = own
        self.own_changed.emit(own)
        row = self.list.currentRow()
        self._fill(self.field.text())
        self.list.setCurrentRow(row)
        self._forget()

    def _forget(self) -> None:
        self._listens = None
        self._tell(_HINT)

    def _tell(self, sentence: str, *, is_bad: bool = False) -> None:
        self.told.set_text(sentence)
        self.told.set_ink(Ink.BAD if is_bad else Ink.LABEL)

    def _fill(self, words: str) -> None:
        self.list.clear()
        for line in lines(self._actions, words=words, bay=self._bay, own=self._own):
            item = QListWidgetItem(f"{line.spec.text}, {', '.join(line.keys)}")
            item.setData(LINE_ROLE, line)
            self.list.addItem(item)
        self.list.setCurrentRow(0)
        self.ours.setEnabled(bool(self._own.chosen))

    def _chosen(self) -> Line | None:
        if self.list.currentRow() < 0:
            return None
        line: Line = self.list.currentItem().data(LINE_ROLE)
        return line

    def _row_of(self, spec: ActionSpec) -> int:
        rows = range(self.list.count())
        return next((row for row in rows if self.list.item(row).data(LINE_ROLE).spec is spec), 0)

    def _step(self, by: int) -> None:
        there = self.list.currentRow() + by
        self.list.setCurrentRow(min(max(there, 0), self.list.count() - 1))

    def _act(self, line: Line) -> None:
        if line.is_enabled:
            self.accept()  # first, so that what it does finds the window in front
            self._actions.of(line.spec.id).trigger()
