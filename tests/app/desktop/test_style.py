"""The window's dress: its own font, its own palette, light and dark on demand."""

from collections import Counter

import pytest
from PySide6.QtGui import QFontInfo, QPalette
from PySide6.QtWidgets import QApplication, QLabel, QListWidget, QPushButton, QWidget
from pytestqt.qtbot import QtBot

from app.desktop.fonts import font, load_fonts
from app.desktop.palette import DARK, LIGHT, Tokens, qpalette, tokens_of
from app.desktop.style import DustcapStyle, dress


@pytest.mark.usefixtures("qapp")
def test_the_typeface_comes_with_the_window() -> None:
    load_fonts()
    for bold in (False, True):
        info = QFontInfo(font(13, bold=bold))
        assert (info.family(), info.bold(), info.pixelSize()) == ("B612", bold, 13)


@pytest.fixture(params=[LIGHT, DARK], ids=["light", "dark"])
def theme(request: pytest.FixtureRequest) -> Tokens:
    tokens = request.param
    assert isinstance(tokens, Tokens)
    return tokens


def colours(widget: QWidget, tokens: Tokens) -> Counter[str]:
    style = DustcapStyle()
    widget.setStyle(style)
    widget.setPalette(qpalette(tokens))
    image = widget.grab().toImage()
    found = Counter(
        image.pixelColor(x, y).name().upper()
        for x in range(image.width())
        for y in range(image.height())
    )
    widget.setStyle(None)  # type: ignore[arg-type]  # Qt takes it; the style must not go first
    return found


def test_the_button_that_enter_presses_is_ink_and_no_button_has_a_gradient(
    qtbot: QtBot, theme: Tokens
) -> None:
    plain, default = QPushButton("Cancel"), QPushButton("Play")
    default.setDefault(True)
    for button, fill in ((plain, theme.card), (default, theme.ink)):
        qtbot.addWidget(button)
        button.resize(90, 30)
        seen = colours(button, theme)
        assert seen[fill] > 0.6 * 90 * 30


def test_a_chosen_row_is_told_by_ink_and_not_by_a_hue(qtbot: QtBot, theme: Tokens) -> None:
    rows = QListWidget()
    qtbot.addWidget(rows)
    rows.addItems(["log sweep", "noise"])
    rows.resize(120, 60)
    rows.setCurrentRow(0)
    seen = colours(rows, theme)
    assert seen[theme.focus] == 0
    assert seen[theme.ink] > 3 * 10  # the bar


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
