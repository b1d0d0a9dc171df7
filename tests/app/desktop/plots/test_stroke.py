"""However a curve is stroked, it is the same curve."""

import numpy as np
import pytest
from PySide6.QtGui import QColor, QImage, QPainter, QPainterPath, QPen

from app.desktop.plots.paths import open_path, segments
from app.desktop.plots.stroke import stroke
from app.desktop.plots.trace import Trace
from dsp.arrays import Floats

X = np.arange(20.0, 280.0)


def blank() -> QImage:
    image = QImage(300, 120, QImage.Format.Format_Grayscale8)
    image.fill(QColor("white"))
    return image


def drawn(path: QPainterPath) -> QImage:
    image = blank()
    painter = QPainter(image)
    painter.setRenderHint(QPainter.RenderHint.Antialiasing)
    painter.setPen(QPen(QColor("black"), 2.2))
    painter.drawPath(path)
    painter.end()
    return image


def stroked(trace: Trace, *, many: bool) -> QImage:
    image = blank()
    painter = QPainter(image)
    painter.setRenderHint(QPainter.RenderHint.Antialiasing)
    stroke(painter, trace, QPen(QColor("black"), 2.2), many=many)
    painter.end()
    return image


def pixels(image: QImage) -> Floats:
    rows = range(image.height())
    return np.array([[image.pixelColor(x, y).value() for x in range(300)] for y in rows], float)


def darkest_about(image: Floats) -> Floats:
    steps = [(down, along) for down in (-1, 0, 1) for along in (-1, 0, 1)]
    darkest: Floats = np.min([np.roll(image, step, axis=(0, 1)) for step in steps], axis=0)
    return darkest


@pytest.mark.usefixtures("qapp")
@pytest.mark.parametrize(("noise", "heavier"), [(6.0, 0.15), (0.0, 0.25)])
def test_the_quick_way_covers_what_the_fine_one_covers(noise: float, heavier: float) -> None:
    random = np.random.default_rng(2)
    curve = Trace(x=X, y=60 + 30 * np.sin(X / 30) + random.normal(0, noise, X.size))
    fine, quick = pixels(drawn(open_path(curve))), pixels(drawn(segments(curve)))
    assert np.sum(255 - quick) == pytest.approx(np.sum(255 - fine), rel=heavier)
    # What is black in one has at least grey beside it in the other.
    assert not np.any((fine < 20) & (darkest_about(quick) > 200))
    assert not np.any((quick < 20) & (darkest_about(fine) > 200))


@pytest.mark.usefixtures("qapp")
def test_a_hole_stays_a_hole_either_way() -> None:
    y = np.where(np.abs(X - 150) < 20, np.nan, 60.0)
    for many in (False, True):
        row = pixels(stroked(Trace(x=X, y=y), many=many))[60]
        assert row[133:167].min() == 255
        assert row[30:125].max() < 60


def test_single_segments_go_where_the_curve_goes() -> None:
    trace = Trace(x=np.array([1.0, 2.0, np.nan, 4.0, 5.0]), y=np.array([1.0, 2.0, 3.0, 4.0, 5.0]))
    path = segments(trace)
    corners = [(path.elementAt(n).x, path.elementAt(n).y) for n in range(path.elementCount())]
    assert corners == [(1, 1), (2, 2), (4, 4), (5, 5)]


@pytest.mark.parametrize("size", [0, 1])
def test_less_than_a_segment_is_nothing(size: int) -> None:
    trace = Trace(x=np.ones(size), y=np.ones(size))
    assert open_path(trace).isEmpty()
    assert segments(trace).isEmpty()


@pytest.mark.usefixtures("qapp")
def test_a_noisy_curve_goes_the_quick_way_and_a_smooth_one_the_fine_one() -> None:
    random = np.random.default_rng(2)
    smooth = Trace(x=X, y=60 + 30 * np.sin(X / 30))
    noisy = Trace(x=X, y=smooth.y + random.normal(0, 6, X.size))
    assert stroked(smooth, many=False) == drawn(open_path(smooth))
    assert stroked(noisy, many=False) == drawn(segments(noisy))
    assert stroked(smooth, many=True) == drawn(segments(smooth))
