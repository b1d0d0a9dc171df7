"""The window opens on any screen: never beyond it, and as it was left where it was left."""

import pytest
from PySide6.QtCore import QByteArray, QSize
from PySide6.QtWidgets import QWidget
from pytestqt.qtbot import QtBot

from app.desktop.placing import opening_size, place_window


@pytest.mark.parametrize(
    ("available", "opened"),
    [
        ((1920, 1040), (1280, 800)),
        ((1366, 728), (1280, 728)),  # a laptop with a bar at its foot
        ((1280, 752), (1280, 752)),
        ((1024, 560), (1024, 560)),  # smaller than what is drawn for: all of it, and no more
    ],
)
def test_it_is_never_larger_than_the_screen(
    available: tuple[int, int], opened: tuple[int, int]
) -> None:
    assert opening_size(QSize(*available)) == QSize(*opened)


def test_a_small_screen_can_hold_the_window_whole(qtbot: QtBot) -> None:
    window = QWidget()
    qtbot.addWidget(window)
    place_window(window, QByteArray())
    available = window.screen().availableSize()
    assert window.minimumWidth() <= available.width()
    assert window.width() <= available.width()
    assert window.height() <= available.height()
