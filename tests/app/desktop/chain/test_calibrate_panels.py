"""The panels of a calibration hold what is said in them, at the smallest window that is checked."""

from PySide6.QtCore import QPoint, Qt
from PySide6.QtWidgets import QScrollArea
from pytestqt.qtbot import QtBot

from app.desktop.panels.chain.calibrate_form import CalibrateForm
from app.desktop.panels.chain.calibrate_value import CalibrateValue
from app.desktop.presenters.calibrate_form import Form
from app.desktop.presenters.calibrate_result import CheckRow
from app.desktop.presenters.mark import Mark

MIDDLE_1280 = 704
LEFT, HEIGHT_740 = 252, 740 - 170 - 12  # strip, row and margin above; margin below
SHORT = CheckRow(mark=Mark.GOOD, name="settled", sentence="settled for 4.8 s, asked for 2 s")
LONG = CheckRow(
    mark=Mark.GOOD,
    name="its frequency",
    sentence="found 1000.00 Hz where 1000 Hz was named, class 1 allows 0.7 %",
)


def ink_rows(value: CalibrateValue) -> set[int]:
    """Return the rows, px, in which anything is painted right of the checks' names."""
    image = value.grab().toImage()
    ground = image.pixel(QPoint(image.width() - 1, image.height() - 1))
    columns = range(440, image.width(), 1)
    return {
        row
        for row in range(4, image.height())
        if any(image.pixel(column, row) != ground for column in columns)
    }


def test_a_long_sentence_wraps_and_the_panel_grows(qtbot: QtBot) -> None:
    value = CalibrateValue()
    qtbot.addWidget(value)
    value.resize(MIDDLE_1280, value.height())
    value.show()
    value.set_checks([SHORT] * 4)
    low, one_line_each = value.height(), len(ink_rows(value))
    value.set_checks([LONG, SHORT, SHORT, SHORT])
    assert value.height() > low
    assert len(ink_rows(value)) > one_line_each + 8  # a second line of it is there
    value.resize(1400, value.height())
    assert value.height() == low  # room enough: one line again


def test_the_form_of_a_known_instrument_needs_no_scrolling(qtbot: QtBot) -> None:
    form = CalibrateForm()
    qtbot.addWidget(form)
    form.set_rig([("well", "seated well")])
    form.resize(LEFT, HEIGHT_740)
    form.show()
    (area,) = form.findChildren(QScrollArea)
    qtbot.waitUntil(lambda: area.viewport().height() > 300)
    assert area.verticalScrollBar().maximum() == 0


def test_what_is_refused_is_unfolded(qtbot: QtBot) -> None:
    form = CalibrateForm()
    qtbot.addWidget(form)
    form.show()
    texts = {"serial": "0093", "due": "some day"}
    typed = Form(
        nominal="calibrator 94 1000", accuracy_class="1", purpose="calibration", texts=texts
    )
    form.set_form(typed, refused={})
    assert form.papers.fact == "0093, some day"
    assert not form.fields["due"].isVisibleTo(form)
    form.set_form(typed, refused={"due": "not a day"})
    assert form.fields["due"].isVisibleTo(form)
    assert not form.fields["cavity_cm3"].isVisibleTo(form)
    assert form.papers.focusPolicy() & Qt.FocusPolicy.TabFocus
