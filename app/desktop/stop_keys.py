"""Esc and the space bar stop what sounds, wherever the focus is."""

from collections.abc import Callable
from dataclasses import dataclass

from PySide6.QtCore import QEvent, QObject, Qt, Slot
from PySide6.QtGui import QKeyEvent
from PySide6.QtWidgets import (
    QAbstractButton,
    QAbstractSpinBox,
    QApplication,
    QComboBox,
    QLineEdit,
    QPlainTextEdit,
    QTextEdit,
    QWidget,
)

_TYPED_INTO = (QLineEdit, QTextEdit, QPlainTextEdit, QAbstractSpinBox)
_PRESSED = (QAbstractButton, QComboBox)


@dataclass(frozen=True, slots=True, kw_only=True)
class Sounding:
    """How the keys learn what goes on, and whom they tell.

    ``is_active`` also counts what is about to sound; ``stop`` may be called at any time.
    """

    is_active: Callable[[], bool]
    is_sounding: Callable[[], bool]
    stop: Callable[[], None]


class StopKeys(QObject):
    """An event filter: sees a key before any field, list or dialog does.

    While a take is being made Esc stops it and does nothing else; the space bar does the same
    while it sounds, but in a text field, where it is a space. A button that was reached by Tab
    keeps the space bar as the key that presses it.

    It watches everything only while a take is being made (``watch``), and otherwise only a button
    that was reached by Tab: each event of each widget that it watches costs a call into Python,
    a third of the time that a bay takes to be made.
    """

    def __init__(self, sounding: Sounding, parent: QObject | None = None) -> None:
        super().__init__(parent)
        self._sounding = sounding
        self._taken: int | None = None  # a key whose press is still to come
        app = QApplication.instance()
        assert isinstance(app, QApplication)  # no key without one
        self._app, self._watches_everything = app, False
        app.focusChanged.connect(self._follow_focus)

    def watch(self, *, everything: bool) -> None:
        """Watch every window and dialog, or not."""
        if everything == self._watches_everything:
            return
        self._watches_everything = everything
        if everything:
            self._app.installEventFilter(self)
        else:
            self._app.removeEventFilter(self)

    @Slot(QWidget, QWidget)
    def _follow_focus(self, old: QWidget | None, now: QWidget | None) -> None:
        if old is not None:
            old.removeEventFilter(self)
        if now is not None and _wants_space(now):
            now.installEventFilter(self)

    def eventFilter(self, watched: QObject, event: QEvent) -> bool:
        """Take the keys that stop, and no other event."""
        kind = event.type()
        if kind == QEvent.Type.ShortcutOverride and isinstance(event, QKeyEvent):
            return self._offered(event)
        if kind == QEvent.Type.KeyPress and isinstance(event, QKeyEvent):
            return self._pressed(event)
        return super().eventFilter(watched, event)

    def _offered(self, event: QKeyEvent) -> bool:
        if self._stops(event):
            self._taken = event.key()
            if not event.isAutoRepeat():
                self._sounding.stop()
            event.accept()
            return True
        if event.key() == Qt.Key.Key_Space and _wants_space(QApplication.focusWidget()):
            event.accept()  # no shortcut of the window, then
            return True
        return False

    def _pressed(self, event: QKeyEvent) -> bool:
        if self._taken == event.key():
            self._taken = None
            return True
        if self._stops(event):  # a popup may get a key that was never offered
            self._sounding.stop()
            return True
        return False

    def _stops(self, event: QKeyEvent) -> bool:
        if event.modifiers() not in {
            Qt.KeyboardModifier.NoModifier,
            Qt.KeyboardModifier.KeypadModifier,
        }:
            return False
        if event.key() == Qt.Key.Key_Escape:
            return self._sounding.is_active()
        if event.key() == Qt.Key.Key_Space:
            typing = isinstance(QApplication.focusWidget(), _TYPED_INTO)
            return self._sounding.is_sounding() and not typing
        return False


def _wants_space(focused: QWidget | None) -> bool:
    # A click gives these no focus: whoever has it came by Tab, and expects the space bar to press.
    return isinstance(focused, _PRESSED) and not (focused.focusPolicy() & Qt.FocusPolicy.ClickFocus)
