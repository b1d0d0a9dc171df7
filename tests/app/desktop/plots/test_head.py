"""The line above a plot stands still while its figures change."""

from PySide6.QtCore import QRect
from PySide6.QtGui import QColor
from pytestqt.qtbot import QtBot

from app.desktop.palette import tokens_of
from app.desktop.plots.head import PlotHead
from app.desktop.plots.legend import HeadEntry, Swatch


def entry(value: str) -> HeadEntry:
    return HeadEntry(swatch=Swatch.DOT, name="fails", value=value, colour="bad", keep=9)


def left_of_dot(head: PlotHead) -> int:
    image = head.grab().toImage()
    bad = QColor(tokens_of(head).bad)
    return next(x for x in range(image.width()) if image.pixelColor(x, 12) == bad)


def test_an_entry_keeps_its_place_when_its_figure_gets_shorter(qtbot: QtBot) -> None:
    head = PlotHead("Margin", "dB")
    qtbot.addWidget(head)
    head.resize(400, 24)
    head.set_entries([entry("1234 ±5")])
    place = left_of_dot(head)
    head.set_entries([entry("7")])
    assert left_of_dot(head) == place


def test_a_narrow_head_keeps_its_title_and_gives_the_unit_up(qtbot: QtBot) -> None:
    head = PlotHead("Margin", "dB, each dot a unit")
    qtbot.addWidget(head)
    head.set_entries([entry("17")])
    head.resize(400, 24)
    wide = head.grab(QRect(60, 0, 100, 24)).toImage()
    head.resize(150, 24)
    assert head.grab(QRect(60, 0, 20, 24)).toImage() != wide.copy(0, 0, 20, 24)
    assert left_of_dot(head) > 40
