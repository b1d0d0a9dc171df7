"""How large the window opens: as it was left, or as it is drawn for, never beyond its screen."""

from PySide6.QtCore import QByteArray, QSize
from PySide6.QtWidgets import QWidget

SIZE, SMALLEST = QSize(1280, 800), QSize(1024, 640)


def opening_size(available: QSize) -> QSize:
    """Return the size of a window that opens for the first time on a screen with so much room."""
    return SIZE.boundedTo(available).expandedTo(SMALLEST.boundedTo(available))


def place_window(window: QWidget, left_as: QByteArray) -> None:
    """Put a window where it was left, if that still is on a screen; its smallest size fits there.

    Parameters
    ----------
    window : QWidget
        Not yet shown.
    left_as : QByteArray
        As ``QWidget.saveGeometry`` gave it; empty the first time.
    """
    available = window.screen().availableSize()
    window.setMinimumSize(SMALLEST.boundedTo(available))
    if not window.restoreGeometry(left_as):
        window.resize(opening_size(available))
