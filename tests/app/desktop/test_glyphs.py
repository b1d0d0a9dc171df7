"""Marks can be told apart without colour, in both themes and at the smallest size."""

from itertools import combinations

import numpy as np
import pytest
from PySide6.QtCore import QRectF
from PySide6.QtGui import QColor, QImage, QPainter

from app.desktop import glyphs
from app.desktop.palette import DARK, LIGHT, Tokens
from app.desktop.presenters.mark import Mark
from dsp import Floats


def grey(mark: Mark, *, tokens: Tokens, size: int) -> Floats:
    image = QImage(size, size, QImage.Format.Format_RGB32)
    image.fill(QColor(tokens.paper))
    painter = QPainter(image)
    glyphs.paint(painter, mark, QRectF(0, 0, size, size), tokens=tokens)
    painter.end()
    flat = image.convertToFormat(QImage.Format.Format_Grayscale8)
    lines = np.frombuffer(flat.constBits(), dtype=np.uint8).reshape(size, flat.bytesPerLine())
    shades: Floats = lines[:, :size].astype(np.float64) / 255
    return shades


@pytest.mark.usefixtures("qapp")
@pytest.mark.parametrize("tokens", [LIGHT, DARK], ids=["light", "dark"])
@pytest.mark.parametrize("size", [13, 32])
def test_no_two_marks_look_alike_in_grey(tokens: Tokens, size: int) -> None:
    pictures = {mark: grey(mark, tokens=tokens, size=size) for mark in Mark}
    for one, other in combinations(Mark, 2):
        assert np.abs(pictures[one] - pictures[other]).mean() > 0.02, (one, other)


@pytest.mark.usefixtures("qapp")
@pytest.mark.parametrize("mark", Mark)
def test_a_mark_stays_inside_its_square(mark: Mark) -> None:
    image = QImage(48, 48, QImage.Format.Format_RGB32)
    image.fill(QColor(LIGHT.paper))
    painter = QPainter(image)
    glyphs.paint(painter, mark, QRectF(16, 16, 16, 16), tokens=LIGHT)
    painter.end()
    paper = QColor(LIGHT.paper).rgb()
    outside = [
        image.pixel(x, y)
        for x in range(48)
        for y in range(48)
        if not (15 <= x < 33 and 15 <= y < 33)
    ]
    assert set(outside) == {paper}
