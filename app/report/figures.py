"""The pictures of a take: level and impedance, phase, distortion, time; as PNG and SVG."""

from pathlib import Path
from textwrap import shorten
from typing import TYPE_CHECKING

import numpy as np

from app.records.take import Take
from app.report.axes import draw_curve, draw_mask, frequency_axis, head, legend, shade_invalid
from app.report.ink import BAD, GRID, INK2, INK3, TAKE
from app.report.parameters_picture import draw_parameters
from app.report.save_picture import save_picture
from dsp import Curve
from dsp.parameters.fit import LumpedFit
from dsp.response.impulse import ImpulseResponse

if TYPE_CHECKING:
    from collections.abc import Callable

    from matplotlib.axes import Axes
    from matplotlib.figure import Figure, SubFigure

HEIGHT_IN, TALL_IN = 3.9, 5.2
_WARNING_LETTERS = 110  # what fits on one line above a picture
DASHED, DOTTED, DASH_DOT = (0, (5, 3)), (0, (1, 1.5)), (0, (5, 2, 1, 2))


def draw_take(
    take: Take,
    *,
    impulse: ImpulseResponse | None,
    model: LumpedFit | None = None,
    folder: Path,
) -> tuple[Path, ...]:
    """Draw every picture that the take has curves for, and that of the impedance's model.

    Returns
    -------
    tuple of Path, PNG and SVG of each picture, in reading order.
    """
    pictures: dict[str, Callable[[Figure], None]] = {}
    if {"level", "impedance"} & take.curves.keys():
        pictures["level-impedance"] = lambda figure: draw_level_impedance(figure, take)
    if {"level_phase", "impedance_phase"} & take.curves.keys():
        pictures["phase"] = lambda figure: draw_phase(figure, take)
    if {"h2", "thd"} & take.curves.keys():
        pictures["distortion"] = lambda figure: draw_distortion(figure, take)
    if model is not None:
        pictures["parameters"] = lambda figure: draw_parameters(figure, model, take.numbers)
    if impulse is not None:
        pictures["time"] = lambda figure: _whole_time(figure, take, impulse)
    written: list[Path] = []
    for name, draw in pictures.items():
        height = TALL_IN if name in {"level-impedance", "parameters"} else HEIGHT_IN
        written += save_picture(
            draw, folder / name, height_in=height, foot=lambda figure: _foot(figure, take)
        )
    return tuple(written)


def draw_level_impedance(figure: "Figure | SubFigure", take: Take) -> None:
    """Draw level over impedance on one frequency axis, each with its masks and valid range."""
    level, impedance = take.curves.get("level"), take.curves.get("impedance")
    if level is None or impedance is None:
        upper = lower = figure.add_subplot()
    else:
        grid = figure.add_gridspec(2, hspace=0.22, height_ratios=(62, 38))
        upper, lower = figure.add_subplot(grid[0]), figure.add_subplot(grid[1])
    if level is not None:
        frequency_axis(upper, words=upper is lower)
        head(upper, "Level", f"{level.unit}, {level.how.split(';')[0]}")
        shade_invalid(upper, level)
        draw_curve(upper, level, label="level")
        _masks(upper, take, "level")
        top = 10 * np.ceil((_highest(level) + 6) / 10)
        upper.set_ylim(top - 50, top)
        upper.set_yticks(np.arange(top - 50, top + 1, 10))
    if impedance is not None:
        frequency_axis(lower)
        head(lower, "Impedance", "Ω")
        shade_invalid(lower, impedance)
        draw_curve(lower, impedance, label="impedance")
        _masks(lower, take, "impedance")
        highest = max(_highest(impedance) * 1.1, lower.dataLim.y1)  # masks are in it, too
        step = 10 * max(1, np.ceil(highest / 50))
        lower.set_ylim(0, step * np.ceil(highest / step))
        lower.set_yticks(np.arange(0, lower.get_ylim()[1] + 1, step))


def draw_phase(figure: "Figure | SubFigure", take: Take) -> None:
    """Draw the phase of the level with the delay taken out, and that of the impedance."""
    axis = figure.add_subplot()
    frequency_axis(axis)
    delay = take.numbers.get("delay_s")
    removed = f"deg; delay removed: {delay.value * 1e3:.3f} ms" if delay else "deg"
    head(axis, "Phase", removed)
    phase, electrical = take.curves.get("level_phase"), take.curves.get("impedance_phase")
    if phase is not None:
        shade_invalid(axis, phase)
        wrapped = (phase.value + 180) % 360 - 180
        broken = np.abs(np.diff(wrapped, prepend=wrapped[0])) > 180  # no line across a full turn
        drawn = Curve(
            frequency_hz=phase.frequency_hz,
            value=np.where(broken, np.nan, wrapped),
            unit=phase.unit,
            valid=phase.valid,
            uncertainty=phase.uncertainty,
        )
        draw_curve(axis, drawn, label="pressure re terminal voltage")
    if electrical is not None:
        draw_curve(axis, electrical, label="impedance", style=DASHED, width=1.1)
    axis.set_ylim(-180, 180)
    axis.set_yticks(range(-180, 181, 60))
    legend(axis)


def draw_distortion(figure: "Figure | SubFigure", take: Take) -> None:
    """Draw second and third harmonic, their sum and the high orders, in dB re fundamental."""
    axis = figure.add_subplot()
    frequency_axis(axis)
    head(axis, "Distortion", "dB re fundamental")
    thd = take.curves.get("thd")
    if thd is not None:
        shade_invalid(axis, thd)
    for name, label, style, width in (
        ("thd", "THD", "-", 1.6),
        ("h2", "H2", DASHED, 1.0),
        ("h3", "H3", DOTTED, 1.0),
        ("high_order", "high order", DASH_DOT, 1.0),
    ):
        curve = take.curves.get(name)
        if curve is not None:
            decibels = _in_decibels(curve) if curve.unit == "%" else curve
            draw_curve(axis, decibels, label=label, style=style, width=width, band=name == "thd")
    _percent_masks(axis, take)
    axis.set_ylim(-90, 0)
    axis.set_yticks(range(-90, 1, 10))
    right = axis.secondary_yaxis("right")
    right.set_yticks([-80, -60, -40, -20, 0], ["0.01 %", "0.1 %", "1 %", "10 %", "100 %"])
    right.tick_params(length=0)
    right.spines["right"].set_visible(False)
    legend(axis)


def draw_time(figure: "Figure | SubFigure", take: Take, impulse: ImpulseResponse) -> None:
    """Draw the impulse response around its arrival, and the gate where there is one."""
    axis = figure.add_subplot()
    t_ms = (np.arange(impulse.samples.size) - impulse.zero_index) / impulse.sample_rate_hz * 1e3
    arrival = t_ms[np.argmax(np.abs(impulse.samples))]
    shown = (t_ms >= arrival - 2) & (t_ms <= arrival + 12)
    head(axis, "Time", "impulse response, Pa for 1 V in one sample")
    axis.axhline(0, color=GRID, linewidth=0.7)
    axis.plot(t_ms[shown], impulse.samples[shown], color=TAKE, linewidth=1.2, label="take")
    gate = take.procedure.geometry.gate_ms
    if gate is not None:
        axis.axvline(arrival + gate, color=INK2, linewidth=1.0)
        axis.annotate(
            f"gate {gate:g} ms",
            (arrival + gate, 1),
            xycoords=("data", "axes fraction"),
            xytext=(4, -10),
            textcoords="offset points",
            fontsize=7,
            color=INK2,
        )
    axis.set_xlim(arrival - 2, arrival + 12)
    axis.set_xlabel("ms after the output", fontsize=7.5, color=INK2)
    axis.grid(visible=True, color=GRID, linewidth=0.7)


def _whole_time(figure: "Figure", take: Take, impulse: ImpulseResponse) -> None:
    draw_time(figure, take, impulse)
    figure.subplots_adjust(bottom=0.14)  # its axis has words below


def _masks(axis: "Axes", take: Take, quantity: str) -> None:
    for mask in take.procedure.masks.values():
        # Relative and aligned masks have no place on an absolute axis.
        if mask.quantity == quantity and not mask.relative_to and not mask.align:
            draw_mask(axis, mask)


def _percent_masks(axis: "Axes", take: Take) -> None:
    """Draw the masks of distortion; those stated in per cent have no lower limit worth a line."""
    for mask in take.procedure.masks.values():
        if mask.quantity not in {"thd", "high_order"} or mask.relative_to or mask.align:
            continue
        if isinstance(mask.upper, tuple):
            upper = tuple((f, 20 * np.log10(percent / 100)) for f, percent in mask.upper)
            draw_mask(axis, mask.model_copy(update={"upper": upper, "lower": None}))


def _highest(curve: Curve) -> float:
    holds = curve.valid.holds(curve.frequency_hz)
    values = curve.value[holds] if holds.any() else curve.value
    return float(np.nanmax(values))


def _in_decibels(curve: Curve) -> Curve:
    with np.errstate(divide="ignore"):
        value = 20 * np.log10(np.maximum(curve.value, 1e-9) / 100)
    relative = (
        None if curve.uncertainty is None else curve.uncertainty / np.maximum(curve.value, 1e-9)
    )
    return Curve(
        frequency_hz=curve.frequency_hz,
        value=value,
        unit="dB re fundamental",
        valid=curve.valid,
        uncertainty=None if relative is None else 20 / np.log(10) * relative,
        is_bound=curve.is_bound,
    )


def _foot(figure: "Figure", take: Take) -> None:
    words = [take.unit or "", take.procedure.name, take.verdict.value]
    when = take.started_utc.strftime("%Y-%m-%d %H:%M UTC")
    figure.text(0.065, 0.012, " · ".join(w for w in words if w), fontsize=6.5, color=INK3)
    figure.text(0.935, 0.012, f"{when} · take {take.id[:8]}", fontsize=6.5, color=INK3, ha="right")
    if take.warnings:  # a picture travels without its record
        more = f" (and {len(take.warnings) - 1} more)" if len(take.warnings) > 1 else ""
        said = f"▲ {shorten(take.warnings[0], _WARNING_LETTERS, placeholder=' …')}{more}"
        figure.text(0.065, 0.993, said, fontsize=6.5, color=BAD, va="top", parse_math=False)
