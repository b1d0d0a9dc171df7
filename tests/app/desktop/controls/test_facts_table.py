"""Facts: decimal points in one line, tab-separated on the clipboard, rows that can be pressed."""

import pytest
from PySide6.QtCore import QPoint, Qt
from PySide6.QtGui import QFontMetricsF, QGuiApplication
from PySide6.QtTest import QTest
from PySide6.QtWidgets import QWidget
from pytestqt.qtbot import QtBot

from app.desktop.controls.fact_columns import columns_of
from app.desktop.controls.facts_table import FactsTable
from app.desktop.fonts import font
from app.desktop.presenters.figures import Fact, fact_of
from app.desktop.presenters.mark import Mark

FACTS = (
    fact_of("sensitivity", 87.51, 0.31, unit="dB re 20 µPa"),
    Fact(name="polarity", value="+1"),
    fact_of("Qes", 0.8021, 0.0093, unit="1"),
    fact_of("rub and buzz", -71.0, 3.0, unit="dB", mark=Mark.STALE),
)


def table(qtbot: QtBot) -> FactsTable:
    made = FactsTable("Numbers")
    made.set_facts(FACTS)
    made.resize(252, made.sizeHint().height())
    qtbot.addWidget(made)
    made.show()
    return made


@pytest.mark.usefixtures("qapp")
def test_decimal_points_stand_in_one_line() -> None:
    columns = columns_of(FACTS, width=252)
    bold = QFontMetricsF(font(13, bold=True))
    points = {
        round(columns.value_left(fact.value) + bold.horizontalAdvance(fact.value.split(".")[0]), 3)
        for fact in FACTS
    }
    assert len(points) == 1


@pytest.mark.usefixtures("qapp")
def test_no_value_runs_into_its_interval() -> None:
    columns = columns_of(FACTS, width=252)
    bold = QFontMetricsF(font(13, bold=True))
    for fact in FACTS:
        right = columns.value_left(fact.value) + bold.horizontalAdvance(fact.value)
        assert right < columns.interval_x


@pytest.mark.usefixtures("qapp")
def test_a_value_gives_way_to_a_long_name_but_never_runs_into_its_unit() -> None:
    long = Fact(name="rub, orders 10 to 15", value="≤ −44.55", unit="dB")
    columns = columns_of((*FACTS, fact_of("delay", 0.03812, 0.00012, unit="ms"), long), width=252)
    name_end = QFontMetricsF(font(13)).horizontalAdvance(long.name)
    left = columns.beside(name_end, long)
    assert left > columns.value_left(long.value)  # there it would stand upon its name
    assert left >= name_end
    wide = QFontMetricsF(font(13, bold=True)).horizontalAdvance(long.value)
    assert left + wide < columns.unit_x
    assert columns.beside(40.0, FACTS[0]) == columns.value_left(FACTS[0].value)


def test_copies_as_a_sheet_reads_it(qtbot: QtBot) -> None:
    made = table(qtbot)
    made.setFocus()
    QTest.keyClick(made, Qt.Key.Key_C, Qt.KeyboardModifier.ControlModifier)
    assert QGuiApplication.clipboard().text() == (
        "sensitivity\t87.5\t0.3\tdB\n"
        "polarity\t+1\n"
        "Qes\t0.802\t0.009\n"
        "rub and buzz\t-71\t3\tdB\tstale\n"
    )


def test_a_press_tells_the_row_and_none_tells_nothing(qtbot: QtBot) -> None:
    made = table(qtbot)
    heard: list[int] = []
    made.row_pressed.connect(heard.append)
    QTest.mouseClick(made, Qt.MouseButton.LeftButton, pos=QPoint(30, 50))
    made.resize(252, 200)
    QTest.mouseClick(made, Qt.MouseButton.LeftButton, pos=QPoint(30, 180))
    assert heard == [2]


def test_rows_are_reached_by_keys(qtbot: QtBot) -> None:
    made = table(qtbot)
    heard: list[int] = []
    made.row_pressed.connect(heard.append)
    for key in (Qt.Key.Key_Down, Qt.Key.Key_Down, Qt.Key.Key_Return):
        QTest.keyClick(made, key)
    assert heard == [1]
    assert made.accessibleDescription() == "polarity +1"


def test_rows_give_way_in_a_low_window(qtbot: QtBot) -> None:
    made = table(qtbot)
    assert made.sizeHint().height() == 4 * 22
    assert made.minimumSizeHint().height() == 4 * 19


def test_it_is_read_aloud_with_marks(qtbot: QtBot) -> None:
    made = table(qtbot)
    assert "rub and buzz −71 ±3 dB (stale)" in made.accessibleDescription()


def test_a_copy_key_stays_with_the_table_that_has_the_focus(qtbot: QtBot) -> None:
    window = QWidget()
    qtbot.addWidget(window)
    made = FactsTable()
    made.setParent(window)
    made.set_facts(FACTS)
    window.show()
    made.setFocus()
    QGuiApplication.clipboard().setText("before")
    QTest.keyClick(made, Qt.Key.Key_C, Qt.KeyboardModifier.ControlModifier)
    assert QGuiApplication.clipboard().text().startswith("sensitivity\t")
