"""Three columns: they widen once, and fold where there is no room for three."""

import pytest
from PySide6.QtWidgets import QWidget
from pytestqt.qtbot import QtBot

from app.desktop.controls.columns import Columns


@pytest.fixture
def parts(qtbot: QtBot) -> tuple[Columns, QWidget, QWidget, QWidget]:
    left, middle, right = QWidget(), QWidget(), QWidget()
    columns = Columns(left, middle, right)
    qtbot.addWidget(columns)
    columns.show()
    return columns, left, middle, right


@pytest.mark.parametrize(
    ("width", "left_px", "right_px"), [(1280, 252, 252), (1599, 252, 252), (1600, 320, 336)]
)
def test_the_outer_columns_have_fixed_widths(
    qtbot: QtBot,
    parts: tuple[Columns, QWidget, QWidget, QWidget],
    width: int,
    left_px: int,
    right_px: int,
) -> None:
    columns, left, middle, right = parts
    columns.resize(width, 600)
    # Two margins of 16, two gaps of 20; all else goes to what is seen.
    rest = width - left_px - right_px - 72
    qtbot.waitUntil(
        lambda: (left.width(), middle.width(), right.width()) == (left_px, rest, right_px)
    )


def test_below_1180_the_right_column_is_a_page_of_the_left_one(
    qtbot: QtBot, parts: tuple[Columns, QWidget, QWidget, QWidget]
) -> None:
    columns, left, middle, right = parts
    columns.resize(1100, 600)
    qtbot.waitUntil(lambda: middle.width() == 1100 - 252 - 52)
    assert columns.is_folded
    assert left.isVisible()
    assert not right.isVisible()
    columns.show_page(1)
    assert right.isVisible()
    assert not left.isVisible()
    columns.resize(1280, 600)
    qtbot.waitUntil(lambda: right.width() == 252 and middle.width() == 1280 - 504 - 72)
    assert left.isVisible()
    assert right.isVisible()
