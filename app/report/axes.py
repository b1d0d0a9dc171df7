"""Frequency axes with words at preferred numbers, and what is drawn behind every curve."""

from typing import TYPE_CHECKING

import numpy as np

from app.procedure.schema import Mask
from app.report.ink import BAND_ALPHA, GRID, GRID2, INK, INK2, INK3, TAKE
from dsp import Curve

if TYPE_CHECKING:
    from matplotlib.axes import Axes

LineStyle = str | tuple[int, tuple[float, ...]]  # a name, or offset and strokes in points
LOW_HZ, HIGH_HZ = 20.0, 20_000.0
WORDS = {
    20: "20",
    50: "50",
    100: "100",
    200: "200",
    500: "500",
    1000: "1k",
    2000: "2k",
    5000: "5k",
    10000: "10k",
    20000: "20k",
}
MINOR = [k * 10**d for d in (1, 2, 3, 4) for k in (3, 4, 6, 7, 8, 9) if k * 10**d < HIGH_HZ]


def frequency_axis(axis: "Axes", *, words: bool = True) -> None:
    """Make ``axis`` span 20 Hz to 20 kHz on a logarithmic scale with our own ticks."""
    axis.set_xscale("log")
    axis.set_xlim(LOW_HZ, HIGH_HZ)
    axis.set_xticks(list(WORDS), list(WORDS.values()) if words else [""] * len(WORDS))
    axis.set_xticks([f for f in MINOR if f > LOW_HZ], minor=True)
    axis.tick_params(axis="x", which="minor", labelbottom=False)
    axis.grid(visible=True, which="major", color=GRID, linewidth=0.7, zorder=0)
    axis.grid(visible=True, which="minor", axis="x", color=GRID2, linewidth=0.6, zorder=0)
    axis.set_axisbelow(True)


def head(axis: "Axes", title: str, unit: str) -> None:
    """Write title and unit above the plot, on the left; nothing floats inside it."""
    text = axis.annotate(
        title,
        (0, 1),
        xytext=(0, 7),
        xycoords="axes fraction",
        textcoords="offset points",
        fontweight="bold",
        fontsize=9,
    )
    axis.annotate(
        unit,
        (1, 0),
        xytext=(6, 1.2),
        xycoords=text,
        textcoords="offset points",
        color=INK3,
        fontsize=8,
    )


def legend(axis: "Axes") -> None:
    """Stand the legend above the plot, on the right, on one line."""
    axis.legend(
        loc="lower right",
        bbox_to_anchor=(1.005, 1.0),
        ncols=8,
        frameon=False,
        borderaxespad=0.2,
        handlelength=1.9,
        columnspacing=1.4,
        fontsize=7.5,
        labelcolor=INK2,
    )


def draw_curve(
    axis: "Axes",
    curve: Curve,
    *,
    label: str,
    color: str = TAKE,
    style: LineStyle = "-",
    width: float = 1.6,
    band: bool = True,
) -> None:
    """Draw a curve where it holds, thin dots where it does not, and its uncertainty as a band."""
    holds = curve.valid.holds(curve.frequency_hz)
    value = curve.value
    if curve.is_bound is not None:  # noise, not the unit: never drawn as if it were measured
        value = np.where(curve.is_bound, np.nan, value)
    shown = np.where(holds, value, np.nan)
    if band and curve.uncertainty is not None:
        low, high = shown - curve.uncertainty, shown + curve.uncertainty
        axis.fill_between(
            curve.frequency_hz, low, high, color=color, alpha=BAND_ALPHA, linewidth=0, zorder=2
        )
    axis.plot(
        curve.frequency_hz,
        shown,
        color=color,
        linestyle=style,
        linewidth=width,
        label=label,
        zorder=3,
        solid_joinstyle="round",
    )
    axis.plot(
        curve.frequency_hz,
        np.where(holds, np.nan, value),
        color=color,
        linestyle=(0, (1, 2.5)),
        linewidth=0.8,
        zorder=2.5,
    )


def shade_invalid(axis: "Axes", curve: Curve) -> None:
    """Hatch what lies outside the valid range and write the reason at its edge."""
    low, high = curve.valid.low_hz, curve.valid.high_hz
    # The words stand outside the edge where there is room for them, inside it otherwise.
    low_side = "right" if low > 6 * LOW_HZ else "left"
    high_side = "left" if high < HIGH_HZ / 4 else "right"
    for start, stop, edge, reason, side in (
        (LOW_HZ, low, low, f"valid from {low:.0f} Hz ({curve.valid.low_reason})", low_side),
        (
            high,
            HIGH_HZ,
            high,
            f"valid to {high / 1e3:.1f} kHz ({curve.valid.high_reason})",
            high_side,
        ),
    ):
        if stop <= start * 1.02:
            continue
        axis.axvspan(
            start, stop, facecolor="none", edgecolor=GRID, hatch="////", linewidth=0, zorder=1
        )
        axis.axvline(edge, color=INK3, linewidth=0.8, linestyle=(0, (4, 2)), zorder=2)
        axis.annotate(
            reason,
            (edge, 0),
            xycoords=("data", "axes fraction"),
            xytext=(-4 if side == "right" else 4, 4),
            textcoords="offset points",
            ha=side,
            fontsize=6.5,
            color=INK2,
            zorder=5,
            bbox={"facecolor": "white", "edgecolor": "none", "pad": 1.2},
        )


def draw_mask(axis: "Axes", mask: Mask) -> None:
    """Draw a mask in ink with short strokes on the side that is forbidden."""
    from matplotlib.patheffects import withTickedStroke

    for points, angle in ((mask.upper, 60), (mask.lower, -60)):
        if points is None:
            continue
        line = ((LOW_HZ, points), (HIGH_HZ, points)) if isinstance(points, float) else points
        axis.plot(
            [f for f, _ in line],
            [v for _, v in line],
            color=INK,
            linewidth=1.0,
            zorder=4,
            path_effects=[withTickedStroke(spacing=3.5, angle=angle, length=0.8, linewidth=0.5)],
        )
