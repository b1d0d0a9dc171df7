"""Levels over two axes of frequency: tiles on the ramp, the pointer, keys, what is read out."""

import numpy as np
import pytest
from PySide6.QtCore import QSizeF, Qt
from PySide6.QtGui import QColor, QImage, QPainter
from pytestqt.qtbot import QtBot

from app.desktop.palette import DARK, LIGHT, Tokens
from app.desktop.plots.level_map import LevelMap
from app.desktop.plots.map_plot import MapPlot
from app.desktop.plots.ramp import lightness, ramp, steps_of
from app.desktop.plots.x_range import XRange
from tests.app.desktop.plots import hand

_SIZE = QSizeF(600, 260)


def _map() -> LevelMap:
    """Two tones, apart, and three bands; one tile is loud."""
    y = np.array([1000.0, 2000.0, 4000.0])
    level = np.full((3, 2), 0.0)
    level[1, 1] = 40.0
    return LevelMap(
        x_hz=np.array([60.0, 160.0]),
        x_low=np.array([50.0, 140.0]),
        x_high=np.array([70.0, 180.0]),
        y_hz=y,
        y_low=y / 2**0.5,
        y_high=y * 2**0.5,
        level=level,
        low=0.0,
        high=40.0,
        orders=(10,),
        marks_hz=(60.0,),
    )


@pytest.fixture
def plot(qtbot: QtBot) -> MapPlot:
    made = MapPlot("Residual", "", x_range=XRange(20.0, 2000.0), level_re="re 20 µPa")
    qtbot.addWidget(made)
    made.resize(600, 284)
    made.show()
    made.set_map(_map())
    return made


@pytest.mark.parametrize("tokens", [LIGHT, DARK])
def test_lightness_goes_one_way_along_the_ramp_by_even_steps(tokens: Tokens) -> None:
    colours = ramp(tokens)
    rgb = np.stack([(colours >> shift) & 255 for shift in (16, 8, 0)], axis=1)
    light = np.array([lightness(one.astype(np.float64)) for one in rgb])
    steps = np.diff(light[::15])
    assert np.all(steps > 0) if tokens.is_dark else np.all(steps < 0)
    assert np.abs(steps).max() < 1.6 * np.abs(steps).min()
    assert QColor(tokens.plot).rgb() == colours[0]
    assert QColor(tokens.ink).rgb() == colours[-1]


def test_lightness_is_that_of_the_standard() -> None:
    # Published L* of sRGB: white 100, black 0, pure red 53.24, middle grey (119) 50.03.
    given = {(255, 255, 255): 100.0, (0, 0, 0): 0.0, (255, 0, 0): 53.24, (119, 119, 119): 50.03}
    for rgb, expected in given.items():
        assert lightness(np.array(rgb, dtype=np.float64)) == pytest.approx(expected, abs=0.01)


def test_a_tile_has_its_level_s_colour_and_between_tones_is_paper(plot: MapPlot) -> None:
    image = QImage(_SIZE.toSize(), QImage.Format.Format_RGB32)
    painter = QPainter(image)
    plot.canvas.paint_on(painter, _SIZE, LIGHT)
    painter.end()
    frame = plot.canvas.frame(_SIZE)

    def colour(x_hz: float, y_hz: float) -> int:
        x, y = frame.px_of(np.log10(x_hz)), frame.py_of(np.log10(y_hz))
        return image.pixel(round(x), round(y))

    steps = ramp(LIGHT)
    assert colour(155.0, 2100.0) == steps[-1]
    assert colour(55.0, 4400.0) == steps[0]
    # Off the grid, where nothing was played.
    assert {colour(95.0, hz) for hz in (1300.0, 1900.0)} == {QColor(LIGHT.plot).rgb()}


def test_what_lies_beyond_the_ramp_is_told_by_its_ends() -> None:
    assert list(steps_of(np.array([-9.0, 0.0, 20.0, 99.0]), low=0.0, high=40.0)) == [0, 0, 128, 255]


def test_a_press_tells_the_tile_and_beside_tiles_nothing(qtbot: QtBot, plot: MapPlot) -> None:
    frame = plot.canvas.frame()

    def place(x_hz: float, y_hz: float) -> tuple[float, float]:
        return frame.px_of(np.log10(x_hz)), frame.py_of(np.log10(y_hz))

    with qtbot.waitSignal(plot.tile_pressed) as told:
        hand.press(plot.canvas, *place(150.0, 1900.0))
    assert told.args == [160.0, 2000.0]
    assert plot.readout_text() == "Residual: 40 dB in 2 kHz while 160 Hz is played"
    with qtbot.assertNotEmitted(plot.tile_pressed):
        hand.press(plot.canvas, *place(100.0, 1900.0))
    assert plot.readout_text() == "Residual"


def test_keys_walk_over_the_map_and_enter_tells_a_tile(qtbot: QtBot, plot: MapPlot) -> None:
    plot.mark(157.0)
    hand.key(plot.canvas, Qt.Key.Key_Right)
    assert plot.scene.cursor_hz == pytest.approx(157.0 * 2 ** (1 / 24))
    hand.key(plot.canvas, Qt.Key.Key_Down)
    with qtbot.waitSignal(plot.tile_pressed) as told:
        hand.key(plot.canvas, Qt.Key.Key_Return)
    assert told.args == [160.0, 1000.0]


def test_the_head_tells_ramp_and_level_and_the_table_all_of_it(plot: MapPlot) -> None:
    hand.hover(
        plot.canvas,
        plot.canvas.frame().px_of(np.log10(160.0)),
        plot.canvas.frame().py_of(np.log10(2000.0)),
    )
    told = {entry.name: entry.value for entry in plot.head.entries}
    assert told == {"heard": "40 dB at 2 kHz", "0 to 40 dB re 20 µPa": ""}
    rows = plot.table().splitlines()
    assert rows[0] == "Heard, Hz\t60 Hz\t160 Hz"
    assert rows[2] == "2000\t0.0\t40.0"
    plot.set_map(None)
    assert plot.table() == ""


def test_tiles_must_be_as_many_as_columns_and_rows() -> None:
    one = np.array([1.0])
    with pytest.raises(ValueError, match="tiles"):
        LevelMap(
            x_hz=one,
            x_low=one,
            x_high=one,
            y_hz=one,
            y_low=one,
            y_high=one,
            level=np.zeros((2, 1)),
            low=0.0,
            high=1.0,
        )
