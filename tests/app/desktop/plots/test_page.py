"""Plots leave the window as a picture or a drawing, on light ground in either theme."""

import re
from xml.etree import ElementTree as ET

import numpy as np
import pytest
from PySide6.QtGui import QColor
from pytestqt.qtbot import QtBot

from app.desktop.palette import DARK, LIGHT, qpalette
from app.desktop.plots.frequency_plot import FrequencyPlot
from app.desktop.plots.line import LineRole, PlotLine
from app.desktop.plots.mask import PlotMask
from app.desktop.plots.stack import PlotStack

HZ = np.geomspace(20, 20_000, 200)
SVG = "{http://www.w3.org/2000/svg}"


@pytest.fixture
def stack(qtbot: QtBot) -> PlotStack:
    level = FrequencyPlot("Level", "dB re 20 µPa")
    wild = PlotLine(name="take 42", x=HZ, y=80 + 60 * np.sin(HZ / 900), role=LineRole.TAKE)
    level.set_lines([wild])
    hz, values = np.array([100.0, 1000.0]), np.array([90.0, 90.0])
    level.set_masks([PlotMask(name="level", sense="upper", hz=hz, values=values)])
    level.set_y(70, 90)  # so that the curve would leave the frame on both sides
    made = PlotStack([level, FrequencyPlot("Impedance", "Ω")], [3, 2])
    qtbot.addWidget(made)
    made.resize(700, 420)
    made.setPalette(qpalette(DARK))
    made.show()
    return made


def test_a_picture_is_light_and_at_the_scale_asked_for(stack: PlotStack) -> None:
    image = stack.to_image(2.0)
    assert (image.width(), image.height()) == (2 * 716, 2 * 436)
    assert image.pixelColor(2, 2) == QColor(LIGHT.plot)
    colours = {image.pixelColor(x, 300).name() for x in range(0, image.width(), 3)}
    assert QColor(DARK.plot).name() not in colours


def test_a_drawing_needs_no_typeface_and_says_what_it_shows(stack: PlotStack) -> None:
    stack.set_cursor(1000)
    root = ET.fromstring(stack.to_svg())
    assert not list(root.iter(f"{SVG}text"))
    description = root.find(f"{SVG}desc")
    assert description is not None
    assert description.text == stack.readout_text()
    assert "take 42" in stack.readout_text()


def test_a_drawing_is_as_large_as_the_screen_shows_it(stack: PlotStack) -> None:
    # SVG 1.1, 7.10: 96 px an inch in CSS 2.1; 716 px are 189.4 mm.
    root = ET.fromstring(stack.to_svg())
    assert float(root.get("width", "").removesuffix("mm")) == pytest.approx(189.4, abs=0.1)


def test_no_curve_of_a_drawing_leaves_its_frame(stack: PlotStack) -> None:
    root = ET.fromstring(stack.to_svg())
    frame = stack.plots[0].canvas.frame()
    blue = LIGHT.takes[0].lower()
    curves = [
        path.get("d", "")
        for group in root.iter(f"{SVG}g")
        if group.get("stroke") == blue
        for path in group.iter(f"{SVG}path")
    ]
    heights = [float(y) for d in curves for _, y in re.findall(r"[ML]?([\d.]+),([\d.]+)", d)]
    assert len(heights) > 100
    assert min(heights) >= frame.top - 0.01
    assert max(heights) <= frame.bottom + 0.01
