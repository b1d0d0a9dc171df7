"""No word in a plot lies on another one or leaves the plot: in either typeface, at every size."""

import sys
from itertools import combinations

import numpy as np
import pytest
from PySide6.QtCore import QPointF, QRectF, QSizeF
from PySide6.QtGui import QFontMetricsF, QImage, QPainter
from pytestqt.qtbot import QtBot

from app.desktop import fonts
from app.desktop.palette import LIGHT
from app.desktop.plots import write as writing
from app.desktop.plots.frequency_plot import FrequencyPlot
from app.desktop.plots.line import LineRole, PlotLine
from app.desktop.plots.mask import PlotMask
from app.desktop.plots.stack import PlotStack
from app.desktop.plots.trend_data import Due, TrendGroup, TrendLimits, TrendPoints
from app.desktop.plots.trend_plot import TrendPlot

HZ = np.geomspace(20, 20_000, 200)
Word = tuple[str, QRectF]


@pytest.fixture(params=[("B612",), ("DejaVu Sans",)], ids=lambda families: families[0])
def families(request: pytest.FixtureRequest, monkeypatch: pytest.MonkeyPatch) -> None:
    fonts.load_fonts()
    monkeypatch.setattr(fonts, "FAMILIES", request.param)


@pytest.fixture
def written(monkeypatch: pytest.MonkeyPatch, families: None) -> list[Word]:
    del families
    words: list[Word] = []
    plain = writing.write

    def write(painter: QPainter, at: QPointF, text: str, **how: object) -> float:
        width = plain(painter, at, text, **how)  # type: ignore[arg-type]  # handed on as it is
        anchor = how.get("anchor", writing.Anchor.LEFT)
        assert isinstance(anchor, writing.Anchor)
        height = QFontMetricsF(painter.font()).capHeight()
        box = QRectF(at.x() - anchor.value * width, at.y() - height / 2, width, height)
        words.append((text, painter.worldTransform().mapRect(box)))
        return width

    for name, module in list(sys.modules.items()):
        if name.startswith("app.desktop.plots.") and hasattr(module, "write"):
            monkeypatch.setattr(module, "write", write)
    return words


def hold_apart(words: list[Word], *, size: QSizeF) -> None:
    assert words
    page = QRectF(QPointF(), size)
    outside = [text for text, box in words if text and not page.contains(box)]
    assert not outside
    told = [(text, box) for text, box in words if text]
    assert not [(a, b) for (a, one), (b, other) in combinations(told, 2) if one.intersects(other)]


def paint(what: PlotStack | TrendPlot) -> None:
    image = QImage(what.size(), QImage.Format.Format_RGB32)
    painter = QPainter(image)
    what.paint_on(painter, QSizeF(what.size()), LIGHT)
    painter.end()


def lines(value: float) -> list[PlotLine]:
    level = value - 10 * np.log10(1 + (75 / HZ) ** 4)
    made = [
        PlotLine(
            name="take 1042",
            x=HZ,
            y=level,
            role=LineRole.TAKE,
            interval=np.full(HZ.size, 0.3),
            valid=(210, 6700),
            reason="gate",
            high_reason="microphone",
        ),
        PlotLine(name="phase", x=HZ, y=HZ / 100, role=LineRole.PHASE, right=True, unit="°"),
        PlotLine(name="reference", x=HZ, y=level - 1, role=LineRole.REFERENCE),
    ]
    return [
        *made,
        *(
            PlotLine(name=str(n), x=HZ, y=level - n, role=LineRole.OVERLAY, take=2 + n)
            for n in range(3)
        ),
    ]


@pytest.mark.parametrize("size", [(704, 560), (704, 500), (1240, 800), (420, 360)], ids=str)
@pytest.mark.parametrize("hz", [20.0, 230.0, 1030.0, 20_000.0])
def test_words_of_linked_plots(
    qtbot: QtBot, written: list[Word], size: tuple[int, int], hz: float
) -> None:
    plots = [
        FrequencyPlot("Level", "dB re 20 µPa, 1 m, 2.83 V", right_unit="°"),
        FrequencyPlot("Impedance", "Ω", right_unit="°"),
        FrequencyPlot("Distortion", "dB re fundamental", right_unit="%"),
    ]
    limit = PlotMask(name="level", sense="upper", hz=np.array([]), values=np.array([95.0]))
    for plot, value in zip(plots, (87, 60, -40), strict=True):
        plot.set_lines(lines(value))
        plot.set_masks([limit])
    stack = PlotStack(plots, [46, 27, 31])
    qtbot.addWidget(stack)
    stack.resize(*size)
    stack.set_cursor(hz)
    stack.grab()
    written.clear()
    paint(stack)
    # The flag lies over what is below it, and is opaque.
    flag = [word for word in written if word[0].endswith("Hz") and "valid" not in word[0]]
    assert len(flag) == 1
    hold_apart([word for word in written if word not in flag], size=QSizeF(stack.size()))


@pytest.mark.parametrize("size", [(704, 300), (300, 140)], ids=str)
def test_words_of_a_trend(qtbot: QtBot, written: list[Word], size: tuple[int, int]) -> None:
    plot = TrendPlot("Sensitivity over lots", "dB re 20 µPa, 1 m, 2.83 V")
    qtbot.addWidget(plot)
    x = np.arange(40.0)
    plot.set_points(TrendPoints(x=x, y=87 + np.sin(x), keys=tuple(map(str, range(40)))))
    plot.set_groups([TrendGroup(low=8 * n, high=8 * n + 8, word=f"T4-W{n + 27}") for n in range(5)])
    plot.set_limits(TrendLimits(lower=84, upper=90, words="refuse above"))
    plot.set_due(Due(x=36, words="due 25 July"))
    plot.resize(*size)
    plot.grab()
    written.clear()
    paint(plot)
    hold_apart(written, size=QSizeF(plot.size()))
