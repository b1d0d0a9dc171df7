"""A person's hands: every click and key goes the way that Qt delivers a real one."""

import time
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from pathlib import Path
from typing import TypeVar

from PySide6.QtCore import QEvent, QEventLoop, QPoint, QPointF, Qt, QTimer
from PySide6.QtGui import QMouseEvent
from PySide6.QtTest import QTest
from PySide6.QtWidgets import QApplication, QFileDialog, QLineEdit, QWidget

from app.errors import AppError

Kind = TypeVar("Kind", bound=QWidget)

_PATIENCE_S = 30.0
_STEPS = 12  # of a drag
_LEFT = Qt.MouseButton.LeftButton
_NONE = Qt.MouseButton.NoButton


def pause(for_ms: int) -> None:
    """Let the window live; unlike QTest's own wait, threads written in Python live, too."""
    loop = QEventLoop()
    QTimer.singleShot(for_ms, loop.quit)
    loop.exec()


class StoryBrokeError(AppError):
    """A step of a story did not come to what it should."""


class Hands:
    """What a person does, and what they wait to see.

    Parameters
    ----------
    tell : callable
        Hears each step, one line.
    """

    def __init__(self, tell: Callable[[str], None]) -> None:
        self._tell = tell

    @contextmanager
    def step(self, what: str) -> Iterator[None]:
        """Do something that is told as one line; what goes wrong inside names it."""
        started = time.monotonic()
        try:
            yield
        except StoryBrokeError as error:
            raise StoryBrokeError(f"{what}: {error}") from error
        self._tell(f"  {what}  ({time.monotonic() - started:.1f} s)")

    def wait(self, what: str, done: Callable[[], bool]) -> None:
        """Wait until something is so.

        Raises
        ------
        StoryBrokeError
            It is not so after half a minute.
        """
        end = time.monotonic() + _PATIENCE_S
        while not done():
            if time.monotonic() > end:
                raise StoryBrokeError(f"waited in vain for: {what}")
            pause(5)

    def settle(self) -> None:
        """Let everything that is due happen and be painted."""
        for _ in range(3):
            pause(20)

    def press(
        self, key: Qt.Key, held: Qt.KeyboardModifier = Qt.KeyboardModifier.NoModifier
    ) -> None:
        """Press a key where the focus is."""
        QTest.keyClick(self._focused(), key, held)
        self.settle()

    def write(self, text: str) -> None:
        """Type where the focus is, key by key."""
        for letter in text:
            QTest.keyClicks(self._focused(), letter)
        self.settle()

    def click(self, widget: QWidget, at: QPointF | None = None) -> None:
        """Click a widget in the middle, or at a place of it."""
        there = at.toPoint() if at is not None else widget.rect().center()
        QTest.mouseClick(widget, _LEFT, Qt.KeyboardModifier.NoModifier, there)
        self.settle()

    def hover(self, widget: QWidget, at: QPointF) -> None:
        """Move the pointer to a place of a widget."""
        self._send(widget, QEvent.Type.MouseMove, at, button=_NONE, held=_NONE)
        self.settle()

    def drag(self, widget: QWidget, start: QPointF, end: QPointF) -> None:
        """Press, move in small steps, let go."""
        self.hover(widget, start)
        self._send(widget, QEvent.Type.MouseButtonPress, start, button=_LEFT, held=_LEFT)
        for step in range(1, _STEPS + 1):
            at = start + (end - start) * (step / _STEPS)
            self._send(widget, QEvent.Type.MouseMove, at, button=_NONE, held=_LEFT)
            pause(5)
        self._send(widget, QEvent.Type.MouseButtonRelease, end, button=_LEFT, held=_NONE)
        self.settle()

    def find(self, kind: type[Kind], name: str, *, within: QWidget) -> Kind:
        """Return the visible widget of a kind whose accessible name begins so.

        Raises
        ------
        StoryBrokeError
            There is none.
        """
        for one in within.findChildren(kind):
            if one.isVisible() and one.accessibleName().startswith(name):
                return one
        raise StoryBrokeError(f"nothing to be seen that is called “{name}”")

    def name_file(self, path: Path) -> None:
        """Answer the next dialog for files: type a path over what stands there, then Enter.

        Such a dialog waits by itself, so this is said before it is asked for.
        """
        timer = QTimer(QApplication.instance(), interval=50)

        def answer() -> None:
            dialog = QApplication.activeModalWidget()
            if not isinstance(dialog, QFileDialog):
                return
            dialog.activateWindow()
            field = dialog.findChild(QLineEdit, "fileNameEdit")
            if field is None or not dialog.isActiveWindow():
                return
            timer.stop()
            timer.deleteLater()
            field.setFocus()
            field.selectAll()
            QTest.keyClicks(field, str(path))
            while dialog.isVisible():  # the first Enter may only close what was proposed
                QTest.keyClick(field, Qt.Key.Key_Return)
                self.settle()

        timer.timeout.connect(answer)
        timer.start()

    @staticmethod
    def _focused() -> QWidget:
        found = (
            QApplication.activePopupWidget()
            or QApplication.focusWidget()
            or QApplication.activeWindow()
        )
        if found is not None:
            return found
        # Where nobody manages windows, none gets the keyboard back from a dialog that closed.
        for window in QApplication.topLevelWidgets():
            if window.isVisible():
                window.activateWindow()
                QTest.qWaitForWindowActive(window)
                return QApplication.focusWidget() or window
        raise StoryBrokeError("no window has the keyboard")

    @staticmethod
    def _send(
        widget: QWidget,
        kind: QEvent.Type,
        at: QPointF,
        *,
        button: Qt.MouseButton,
        held: Qt.MouseButton,
    ) -> None:
        # QTest moves the pointer without a button held: a drag needs the event itself.
        there = QPointF(widget.mapToGlobal(QPoint(round(at.x()), round(at.y()))))
        event = QMouseEvent(kind, at, there, button, held, Qt.KeyboardModifier.NoModifier)
        QApplication.sendEvent(widget, event)
