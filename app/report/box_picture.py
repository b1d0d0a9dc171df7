"""The picture of a predicted box: level, excursion, impedance, and what goes with them."""

import math
from collections.abc import Mapping
from pathlib import Path
from typing import TYPE_CHECKING

import numpy as np

from app.report.axes import draw_curve, frequency_axis, head, legend, shade_invalid
from app.report.ink import INK, INK3
from app.report.save_picture import save_picture, small_print
from dsp import Curve
from dsp.box.loudest import Loudest
from dsp.box.predict import Prediction

if TYPE_CHECKING:
    from matplotlib.axes import Axes
    from matplotlib.figure import Figure

_TALL_IN = 6.6
_DASHED = (0, (5, 3))
_LOWEST_HZ = 20.0  # of the axis


def draw_box(prediction: Prediction, *, loudest: Loudest | None, path: Path) -> tuple[Path, Path]:
    """Draw a prediction as PNG and SVG; ``path`` has no suffix."""
    limits = "  ·  ".join(limit.name for limit in prediction.limits)
    return save_picture(
        lambda figure: _fill(figure, prediction, loudest=loudest),
        path,
        height_in=_TALL_IN,
        foot=lambda figure: small_print(figure, f"predicted; the model's limits: {limits}"),
    )


def _fill(figure: "Figure", prediction: Prediction, *, loudest: Loudest | None) -> None:
    grid = figure.add_gridspec(3, hspace=0.28, height_ratios=(50, 26, 26))
    upper, middle, lower = (figure.add_subplot(grid[row]) for row in range(3))
    level = prediction.curves["level"]
    frequency_axis(upper, words=False)
    head(upper, "Level", f"{level.unit}, {_conditions(level)}")
    shade_invalid(upper, level)
    draw_curve(upper, level, label="predicted")
    highest = _highest(level)
    if loudest is not None:
        draw_curve(upper, loudest.level, label="most", color=INK, style=_DASHED, width=1.0)
        highest = max(highest, _highest(loudest.level))
        legend(upper)
    top = 10 * math.ceil((highest + 3) / 10)
    upper.set_ylim(top - 60, top)
    upper.set_yticks(range(top - 60, top + 1, 10))
    _pair(middle, prediction.curves, names=("excursion", "vent_speed"), title="Excursion")
    _pair(lower, prediction.curves, names=("impedance", "group_delay"), title="Impedance")
    frequency_axis(middle, words=False)
    frequency_axis(lower)


def _pair(axis: "Axes", curves: Mapping[str, Curve], *, names: tuple[str, str], title: str) -> None:
    first, second = curves[names[0]], curves.get(names[1])
    head(axis, title, f"{first.unit}, {_conditions(first)}")
    draw_curve(axis, first, label=title.lower())
    axis.set_ylim(0, 1.15 * _highest(first))
    if second is None:
        return
    right = axis.twinx()
    label = f"{names[1].replace('_', ' ')}, {second.unit}, right"
    draw_curve(right, second, label=label, color=INK3, style=_DASHED, width=1.0, band=False)
    right.set_ylim(0, 1.15 * _highest(second))
    right.tick_params(length=0)
    right.spines["right"].set_visible(False)
    legend(right)


def _conditions(curve: Curve) -> str:
    # What a prediction's curve says after the first comma is what it is predicted for.
    return curve.how.split(", ", 1)[1]


def _highest(curve: Curve) -> float:
    shown = (curve.frequency_hz >= _LOWEST_HZ) & curve.valid.holds(curve.frequency_hz)
    values = curve.value[shown] if shown.any() else curve.value
    return float(np.nanmax(values))
