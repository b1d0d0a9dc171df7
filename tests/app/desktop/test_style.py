"""The window's dress: its own font, its own palette, light and dark on demand."""

import pytest
from PySide6.QtGui import QFontInfo, QPalette
from PySide6.QtWidgets import QApplication, QLabel
from pytestqt.qtbot import QtBot

from app.desktop.fonts import font, load_fonts
from app.desktop.palette import DARK, LIGHT, tokens_of
from app.desktop.style import dress


@pytest.mark.usefixtures("qapp")
def test_the_typeface_comes_with_the_window() -> None:
    load_fonts()
    for bold in (False, True):
        info = QFontInfo(font(13, bold=bold))
        assert (info.family(), info.bold(), info.pixelSize()) == ("B612", bold, 13)


def test_light_and_dark_change_while_it_runs(qtbot: QtBot, qapp: QApplication) -> None:
    dress(qapp, dark=False)
    label = QLabel("Level")
    qtbot.addWidget(label)
    qtbot.waitUntil(lambda: tokens_of(label) is LIGHT)
    dress(qapp, dark=True)
    qtbot.waitUntil(lambda: tokens_of(label) is DARK)
    assert label.palette().color(QPalette.ColorRole.Window).name().upper() == DARK.paper
    dress(qapp, dark=False)
    qtbot.waitUntil(lambda: tokens_of(label) is LIGHT)
