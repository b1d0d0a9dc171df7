"""A hand on a plot: presses, moves and lets go, as Qt delivers it."""

from PySide6.QtCore import QEvent, QPoint, QPointF, Qt
from PySide6.QtGui import QMouseEvent, QWheelEvent
from PySide6.QtTest import QTest
from PySide6.QtWidgets import QApplication, QWidget

NONE = Qt.MouseButton.NoButton
LEFT = Qt.MouseButton.LeftButton


def press(widget: QWidget, x: float, y: float) -> None:
    _send(widget, QEvent.Type.MouseButtonPress, x, y, button=LEFT, held=LEFT)


def move(widget: QWidget, x: float, y: float, *, held: Qt.MouseButton = LEFT) -> None:
    _send(widget, QEvent.Type.MouseMove, x, y, button=NONE, held=held)


def hover(widget: QWidget, x: float, y: float) -> None:
    move(widget, x, y, held=NONE)


def release(widget: QWidget, x: float, y: float) -> None:
    _send(widget, QEvent.Type.MouseButtonRelease, x, y, button=LEFT, held=NONE)


def double_click(widget: QWidget, x: float, y: float) -> None:
    _send(widget, QEvent.Type.MouseButtonDblClick, x, y, button=LEFT, held=LEFT)


def wheel(
    widget: QWidget,
    x: float,
    y: float,
    *,
    notches: int,
    keys: Qt.KeyboardModifier = Qt.KeyboardModifier.NoModifier,
) -> None:
    at = QPointF(x, y)
    event = QWheelEvent(
        at,
        QPointF(widget.mapToGlobal(at.toPoint())),
        QPoint(0, 0),
        QPoint(0, 120 * notches),
        NONE,
        keys,
        Qt.ScrollPhase.NoScrollPhase,
        False,
    )
    QApplication.sendEvent(widget, event)


def key(
    widget: QWidget,
    which: Qt.Key,
    keys: Qt.KeyboardModifier = Qt.KeyboardModifier.NoModifier,
) -> None:
    QTest.keyClick(widget, which, keys)


def _send(
    widget: QWidget,
    kind: QEvent.Type,
    x: float,
    y: float,
    *,
    button: Qt.MouseButton,
    held: Qt.MouseButton,
) -> None:
    at = QPointF(x, y)
    there = QPointF(widget.mapToGlobal(at.toPoint()))
    no_keys = Qt.KeyboardModifier.NoModifier
    QApplication.sendEvent(widget, QMouseEvent(kind, at, there, button, held, no_keys))
