"""The picture of a unit's parameters: impedance, model, what is left of it, and the figures."""

import math
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from textwrap import wrap
from typing import TYPE_CHECKING

import numpy as np

from app.report.axes import frequency_axis, head, legend
from app.report.calibration_text import amount
from app.report.ink import BAD, BAND_ALPHA, INK, INK2, INK3, TAKE
from app.report.quantity_names import plain_reason
from app.report.units import short_unit
from dsp import Number
from dsp.parameters.fit import LumpedFit

if TYPE_CHECKING:
    from matplotlib.axes import Axes
    from matplotlib.figure import Figure, SubFigure

# Symbols of the trade, in the order in which they are read.
SYMBOLS: Mapping[str, str] = {
    "re_ohm": "Re",
    "fs_hz": "fs",
    "qms": "Qms",
    "qes": "Qes",
    "qts": "Qts",
    "le_mh": "Le",
    "mms_g": "Mms",
    "mmd_g": "Mmd",
    "cms_mm_per_n": "Cms",
    "rms_kg_per_s": "Rms",
    "bl_tm": "Bl",
    "sd_cm2": "Sd",
    "vas_l": "Vas",
    "eta0_percent": "η0",
    "reference_1w_db": "1 W, 1 m",
    "reference_2v83_db": "2.83 V, 1 m",
}
_DOTTED = (0, (1, 1.5))
_HALVES = (0.1, 0.2, 0.5, 1.0, 2.0, 5.0, 10.0, 20.0, 50.0)
_SHARE_SHOWN = 0.99  # of the residuals: a knock must not flatten the rest
_RIGHT_OF_PLOTS = 0.66
_LINE_IN = 0.165
_K = 2.0
_MOST_TOLD = 9999.0  # of a criterion: beyond, a circuit is out of question


@dataclass(frozen=True, slots=True, kw_only=True)
class ParameterRow:
    """One parameter as it is printed."""

    symbol: str
    value: str
    interval: str
    unit: str
    how: str
    doubt: str


def parameter_rows(numbers: Mapping[str, Number]) -> tuple[ParameterRow, ...]:
    """Return the parameters among a take's numbers, each to the place of its interval."""
    return tuple(_row(symbol, numbers[name]) for name, symbol in SYMBOLS.items() if name in numbers)


def circuit_words(model: LumpedFit) -> str:
    """Say which circuit was chosen, from how many points, and how well it fits."""
    aside = model.aside_hz.size
    left = f"; {aside} point{'s' * (aside > 1)} that stand out left aside" if aside else ""
    return (
        f"{model.circuit.words}: of {len(model.candidates)} circuits the one that "
        f"{model.data.frequency_hz.size} points ask for (Schwarz criterion); what it leaves is "
        f"{math.sqrt(model.misfit_per_freedom):.3g} times what noise explains{left}"
    )


def candidate_rows(model: LumpedFit) -> tuple[tuple[str, str, str], ...]:
    """Return each circuit that was tried: words, how much worse, rest over noise; best first."""
    return tuple(
        (
            one.circuit.words,
            "chosen" if one.chosen else _far(one.bic),
            f"{math.sqrt(one.misfit_per_freedom):.3g}",
        )
        for one in model.candidates
    )


def said_of_all(rows: Sequence[ParameterRow]) -> tuple[str, ...]:
    """Return what the accounts of all parameters have in common, in their order."""
    accounts = [row.how.split("; ") for row in rows]
    return tuple(part for part in accounts[0] if all(part in one for one in accounts))


def doubts_of(model: LumpedFit) -> tuple[str, ...]:
    """Return what speaks against figures, a sentence each."""
    return tuple(plain_reason(doubt.reason) for doubt in model.doubts)


def draw_parameters(figure: "Figure", model: LumpedFit, numbers: Mapping[str, Number]) -> None:
    """Draw impedance, model and residual at the left, the parameters and doubts at the right."""
    draw_model(figure, model, right=_RIGHT_OF_PLOTS)
    _write(figure, model, parameter_rows(numbers))


def draw_model(
    figure: "Figure | SubFigure", model: LumpedFit, *, right: float | None = None
) -> None:
    """Draw the impedance with its model over what the model leaves of it."""
    grid = figure.add_gridspec(2, hspace=0.3, height_ratios=(64, 36), right=right)
    upper, lower = figure.add_subplot(grid[0]), figure.add_subplot(grid[1])
    _draw_impedance(upper, model)
    _draw_residual(lower, model)


def _draw_impedance(axis: "Axes", model: LumpedFit) -> None:
    hz, ohm = model.data.frequency_hz, np.abs(model.data.ohm)
    frequency_axis(axis, words=False)
    head(axis, "Impedance and model", "Ω")
    axis.plot(hz, ohm, ".", color=TAKE, markersize=2.2, label="measured", zorder=2.5)
    fine = np.geomspace(hz[0], hz[-1], 600)
    axis.plot(fine, np.abs(model.impedance(fine)), color=INK, linewidth=0.9, label="model")
    top = 1.1 * float(np.max(ohm))
    step = 10 * max(1, math.ceil(top / 50))
    axis.set_ylim(0, step * math.ceil(top / step))
    axis.set_yticks(np.arange(0, axis.get_ylim()[1] + 1, step))
    fs_hz = model.value("fs_hz")
    axis.axvline(fs_hz, color=INK3, linewidth=0.7, linestyle=_DOTTED, zorder=1)
    legend(axis)


def _draw_residual(axis: "Axes", model: LumpedFit) -> None:
    hz, left = model.data.frequency_hz, 100 * model.residual
    expected = 100 * _K * model.data.spread * np.sqrt(model.data.independent)
    frequency_axis(axis)
    head(axis, "Left by the model", "%")
    axis.fill_between(
        hz, -expected, expected, color=INK3, alpha=BAND_ALPHA, linewidth=0, label="noise, k = 2"
    )
    axis.plot(hz, left.real, color=TAKE, linewidth=1.0, label="of |Z|")
    axis.plot(hz, left.imag, color=INK2, linewidth=0.8, linestyle=_DOTTED, label="phase, of 1 rad")
    most = float(np.quantile(np.abs(np.concatenate([left.real, left.imag])), _SHARE_SHOWN))
    most = 1.2 * max(most, float(np.median(expected)))  # the band stays in sight
    half = next((one for one in _HALVES if one >= most), _HALVES[-1])
    axis.set_ylim(-half, half)
    axis.set_yticks((-half, 0, half), [f"−{half:g}", "0", f"{half:g}"])
    legend(axis)


def _write(figure: "Figure", model: LumpedFit, rows: Sequence[ParameterRow]) -> None:
    _, high_in = figure.get_size_inches()
    left, line = _RIGHT_OF_PLOTS + 0.03, _LINE_IN / high_in
    y = 1 - 0.3 / high_in

    def write(
        x: float, text: str, *, color: str = INK, points: float = 7.5, ends: bool = False
    ) -> None:
        ha = "right" if ends else "left"
        figure.text(x, y, text, parse_math=False, color=color, fontsize=points, ha=ha)

    figure.text(left, y, "Parameters", fontweight="bold", fontsize=9)
    write(0.975, "k = 2", color=INK3, ends=True)
    for row in rows:
        y -= line
        color = BAD if row.doubt else INK
        write(left, row.symbol, color=color)
        write(left + 0.14, row.value, color=color, ends=True)
        write(left + 0.225, row.interval, color=INK2, ends=True)
        write(left + 0.235, row.unit, color=INK2)
    y -= 0.5 * line
    sentences = [(circuit_words(model), INK2), *((f"▲ {said}", BAD) for said in doubts_of(model))]
    for sentence, color in sentences:
        for part in wrap(sentence, 44):
            y -= 0.85 * line
            write(left, part, color=color, points=6.5)
        y -= 0.3 * line


def _row(symbol: str, number: Number) -> ParameterRow:
    half = number.uncertainty or 0.0
    value = amount(number.value, half) if half else f"{number.value:.4g}"
    known = math.isfinite(number.value)
    return ParameterRow(
        symbol=symbol,
        value=value if known else "—",
        interval=f"± {amount(half, half)}" if known and half else "",
        unit=short_unit(number.unit),
        how=number.how,
        doubt=plain_reason(number.reason),
    )


def _far(value: float) -> str:
    if not math.isfinite(value):
        return "not passive"
    return f"+{value:.0f}" if value <= _MOST_TOLD else "+9999 or more"
