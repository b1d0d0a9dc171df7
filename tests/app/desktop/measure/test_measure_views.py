"""What is seen in the middle of the Measure bay, copied and exported."""

from pathlib import Path

import numpy as np
import pytest
from PySide6.QtCore import QEvent, QObject, Qt
from PySide6.QtGui import QGuiApplication
from PySide6.QtTest import QTest
from PySide6.QtWidgets import QApplication

from app.desktop.presenters.measure_scene import CURVE_VIEWS, PlotName, View
from dsp.conformity.read_at import read_at
from tests.app.desktop.measure.bay_on_bench import Desk, field, names


def test_a_digit_lays_a_take_over_and_x_shows_the_difference(desk: Desk) -> None:
    desk.make_take("T4-W31-0417")
    desk.make_take("T4-W31-0418")
    desk.do("overlay.1")
    desk.settle()
    assert names(desk, PlotName.LEVEL)[:3] == ["take 2", "phase", "1"]
    desk.do("difference")
    assert names(desk, PlotName.LEVEL) == ["2 − 1"]
    level = desk.bay.plots.plot(PlotName.LEVEL)
    assert level is not None
    np.testing.assert_allclose(level.lines[0].y, 0.0, atol=0.2)  # the same unit, twice
    desk.do("difference")
    desk.do("overlay.1")
    desk.settle()
    assert "1" not in names(desk, PlotName.LEVEL)


def test_a_chosen_mask_puts_the_cursor_where_its_margin_is_smallest(seen: Desk) -> None:
    take = seen.bench.store.take(seen.bench.store.find(limit=1)[0].id)
    table = seen.bay.result.mask_table
    row = [row.key for row in table.rows].index("impedance")
    at = table.visualRect(table.model().index(row, 0)).center()
    QTest.mouseClick(table.viewport(), Qt.MouseButton.LeftButton, pos=at)
    hz = take.masks["impedance"].nearest_hz
    for plot in seen.bay.plots.stack.plots:
        assert plot.cursor_hz == hz


def test_v_goes_through_the_views_and_the_cursor_stays(seen: Desk) -> None:
    seen.bay.plots.set_cursor(1000.0)
    views = []
    for _ in CURVE_VIEWS:
        seen.do("other_view")
        views.append(seen.bay.plots.view)
        assert seen.bay.plots.stack.cursor_hz == 1000.0
    assert views == [View.TOGETHER, View.DISTORTION, View.OVER_LEVEL, View.TIME, View.APART]


def test_iec_proportions_are_a_level_s_alone(seen: Desk) -> None:
    level, distortion = (
        seen.bay.plots.plot(name) for name in (PlotName.LEVEL, PlotName.DISTORTION)
    )
    assert level is not None
    assert distortion is not None
    kept = []
    for _ in range(3):
        seen.do("proportions")
        kept.append((level.scene.db_per_decade, distortion.scene.db_per_decade))
    # IEC 60263:2020: a decade as long as 50 dB, or as 25 dB.
    assert kept == [(50.0, None), (25.0, None), (None, None)]
    seen.do("proportions")
    frame = level.canvas.frame()
    decade_px = frame.width / frame.x.length
    assert decade_px == pytest.approx(50.0 * frame.height / frame.y.length)
    seen.do("proportions")
    seen.do("proportions")


def test_distortion_is_shown_over_the_drive_once_there_are_two(desk: Desk) -> None:
    desk.bay.plots.set_view(View.OVER_LEVEL)
    for level in ("2", "4"):
        desk.type_into(field(desk, "level"), level)
        assert desk.bay.plots.over_level.scene.hint
        desk.make_take()
    desk.bay.plots.cursor_moved.emit(100.0)
    plot = desk.bay.plots.over_level
    assert plot.title == "Distortion at 100 Hz"
    assert plot.lines[0].x.tolist() == [2.0, 4.0]
    newest = desk.bench.store.take(desk.bench.store.find(limit=1)[0].id)
    at = read_at(newest.curves["h2"], frequency_hz=np.array([100.0]))
    assert plot.lines[1].y[-1] == at.value[0]
    assert "Drive, V" in desk.bay.plots.table()


def test_curves_are_shown_and_copied_as_a_table(seen: Desk) -> None:
    tables = []
    for _ in range(2):
        seen.do("table")
        tables.append(seen.bay.plots.shows_table)
    assert tables == [True, False]
    seen.do("copy")
    text = QGuiApplication.clipboard().text()
    assert text.startswith("Frequency, Hz\tLevel, take 1")
    seen.bay.plots.set_cursor(1000.0)
    canvas = seen.bay.plots.stack.plots[0].canvas
    seen.come_to_front()
    canvas.setFocus()
    QTest.keyClick(canvas, Qt.Key.Key_C, Qt.KeyboardModifier.ControlModifier)
    assert QGuiApplication.clipboard().text().startswith("Level at 1 kHz: take 1")
    seen.do("copy_picture")
    assert not QGuiApplication.clipboard().image().isNull()


@pytest.mark.parametrize(
    ("name", "begins"), [("a.png", b"\x89PNG"), ("a.svg", b"<?xml"), ("a.csv", b'"Frequency, Hz"')]
)
def test_what_is_shown_is_written_to_a_file(
    seen: Desk, tmp_path: Path, name: str, begins: bytes
) -> None:
    seen.bay.view_actions.export_to(tmp_path / name)
    assert (tmp_path / name).read_bytes().startswith(begins)
    assert name in seen.bay.words.happened


def test_a_place_that_cannot_be_written_is_told(desk: Desk, tmp_path: Path) -> None:
    (tmp_path / "a.png").mkdir()  # a folder stands where the file should
    desk.bay.view_actions.export_to(tmp_path / "a.png")
    assert "cannot be written" in desk.bay.words.happened


@pytest.mark.parametrize("height", [576, 636, 916])
def test_nothing_scrolls_at_any_height_that_is_promised(seen: Desk, height: int) -> None:
    seen.window.resize(1280, height)
    seen.settle()
    for column in (seen.bay.set_up, seen.bay.result.column):
        assert column.wanted() <= column.height()


class _Counts(QObject):
    """Counts the layouts that are asked for."""

    def __init__(self) -> None:
        super().__init__()
        self.layouts = 0

    def eventFilter(self, watched: QObject, event: QEvent) -> bool:  # noqa: N802 - Qt's name
        self.layouts += event.type() == QEvent.Type.LayoutRequest
        return super().eventFilter(watched, event)


@pytest.mark.parametrize("height", [400, 576, 636, 916])
def test_a_bay_at_rest_asks_for_no_layout(seen: Desk, height: int) -> None:
    app = QApplication.instance()
    assert app is not None
    seen.window.resize(1280, height)
    for _ in range(20):  # what folding sets off comes to an end
        QApplication.processEvents()
    counts = _Counts()
    app.installEventFilter(counts)
    for _ in range(20):
        QApplication.processEvents()
    app.removeEventFilter(counts)
    assert counts.layouts == 0
