"""Both themes can be read: contrast as WCAG 2.1 defines it, computed here from its formula."""

import pytest
from PySide6.QtGui import QColor, QPalette
from PySide6.QtWidgets import QWidget
from pytestqt.qtbot import QtBot

from app.desktop.palette import DARK, LIGHT, Tokens, qpalette, tokens_of


def luminance(colour: str) -> float:
    """Relative luminance, WCAG 2.1 glossary."""
    it = QColor(colour)
    channels = (it.redF(), it.greenF(), it.blueF())
    linear = [c / 12.92 if c <= 0.04045 else ((c + 0.055) / 1.055) ** 2.4 for c in channels]
    return 0.2126 * linear[0] + 0.7152 * linear[1] + 0.0722 * linear[2]


def contrast(one: str, other: str) -> float:
    """Contrast ratio, WCAG 2.1 glossary."""
    light, dark = sorted((luminance(one), luminance(other)), reverse=True)
    return (light + 0.05) / (dark + 0.05)


def test_the_formula_gives_what_the_standard_says_of_black_on_white() -> None:
    assert contrast("#000000", "#FFFFFF") == pytest.approx(21.0)


@pytest.mark.parametrize("tokens", [LIGHT, DARK], ids=["light", "dark"])
@pytest.mark.parametrize("ground", ["paper", "card", "plot", "deck"])
@pytest.mark.parametrize("word", ["ink", "ink2", "ink3", "ok", "bad"])
def test_words_pass_the_contrast_of_small_type(tokens: Tokens, ground: str, word: str) -> None:
    # 1.4.3: at least 4.5 for text below 18 pt.
    assert contrast(getattr(tokens, word), getattr(tokens, ground)) >= 4.5


@pytest.mark.parametrize("tokens", [LIGHT, DARK], ids=["light", "dark"])
def test_curves_and_borders_pass_the_contrast_of_graphics(tokens: Tokens) -> None:
    # 1.4.11: at least 3 for what is needed to understand a graphic.
    for colour in (*tokens.takes, tokens.edge, tokens.ink):
        assert contrast(colour, tokens.plot) >= 3.0
    assert contrast(tokens.edge, tokens.paper) >= 3.0


@pytest.mark.parametrize("tokens", [LIGHT, DARK], ids=["light", "dark"])
def test_verdict_panels_can_be_read_from_afar(tokens: Tokens) -> None:
    assert contrast(tokens.on_panel, tokens.panel_ok) >= 4.5
    assert contrast(tokens.on_panel, tokens.panel_bad) >= 4.5
    assert contrast(tokens.on_att, tokens.att) >= 7.0


@pytest.mark.parametrize("tokens", [LIGHT, DARK], ids=["light", "dark"])
def test_a_widget_tells_its_theme_by_its_palette(qtbot: QtBot, tokens: Tokens) -> None:
    widget = QWidget()
    qtbot.addWidget(widget)
    widget.setPalette(qpalette(tokens))
    assert tokens_of(widget) is tokens
    assert widget.palette().color(QPalette.ColorRole.WindowText) == QColor(tokens.ink)
