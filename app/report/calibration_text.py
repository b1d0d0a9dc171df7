"""A calibration in words and figures, as tables and the certificate page show them."""

import math

from app.report.calibration_document import told
from app.report.rounding import decimals
from dsp.calibration.calibration import Calibration

_MINUS = "\N{MINUS SIGN}"


def result_text(result: Calibration) -> str:
    """Write value and interval: two digits of the interval, the value to the same place."""
    said = told(result)
    if result.unit == "1":  # a sign
        return f"{said.value:+.0f}".replace("-", _MINUS)
    text = f"{amount(said.value, said.uncertainty)} {said.unit}"
    text += f" ± {amount(said.uncertainty, said.uncertainty)} {said.unit}"
    text += f" (k = {result.budget.k:.2f})"
    if result.unit == "V/Pa":
        level, expanded = 20 * math.log10(result.value), result.budget.expanded
        text += f"; {amount(level, expanded)} dB re 1 V/Pa ± {amount(expanded, expanded)} dB"
    return text


def amount(value: float, scale: float) -> str:
    """Write a value to the place of the second digit of ``scale``, with a true minus."""
    places = max(0, decimals(scale, digits=2)) if scale and math.isfinite(scale) else 3
    rounded = round(value, places) + 0.0  # no minus before a zero
    return f"{rounded:.{places}f}".replace("-", _MINUS)


def budget_rows(result: Calibration) -> list[tuple[str, str, str, str, str]]:
    """Return the budget for a table: source, type, standard uncertainty, its unit, contribution.

    The last row is the combined standard uncertainty.
    """
    rows = [
        (
            line.source,
            line.kind.value,
            _digits(line.standard_uncertainty),
            line.unit,
            _digits(line.contribution),
        )
        for line in result.budget.lines
    ]
    combined = _digits(result.budget.standard_uncertainty)
    return [*rows, ("combined", "", "", "", combined)]


def _digits(value: float) -> str:
    return "0" if not value else f"{value:.2g}" if value >= 1e-4 else f"{value:.1e}"
