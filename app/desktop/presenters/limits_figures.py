"""How limits and margins are written: one place a quantity, its short unit, the true minus."""

import math

from app.desktop.presenters.figures import NONE, minus
from app.desktop.presenters.measure_names import quantity_name
from app.procedure.mask_schema import Mask
from app.procedure.names import CURVES, NUMBERS
from app.report.units import short_unit

_MOST_DECIMALS = 6
_STEPS = {"dB": 0.1, "Ω": 0.1, "°": 1.0, "%": 0.01, "Hz": 0.1}
_ELSE = 0.01


def unit_of(quantity: str) -> str:
    """Return a quantity's short unit as it stands in files: masks are in no other."""
    return short_unit({**CURVES, **NUMBERS}.get(quantity, ""))


def step_of(quantity: str) -> float:
    """Return what one step of a key adds to a limit, and what dragged limits are rounded to."""
    return _STEPS.get(unit_of(quantity), _ELSE)


def decimals_of(quantity: str) -> int:
    """Return the places of a margin."""
    return max(0, round(-math.log10(step_of(quantity))))


def limit_text(value: float | None, *, mask: Mask) -> str:
    """Write a limit with the places it was typed with, at least the usual ones; signed if relative.

    Empty where there is no limit.
    """
    if value is None:
        return ""
    least = min(decimals_of(mask.quantity), 2)
    exact = f"{value:.{_MOST_DECIMALS}f}".rstrip("0")
    typed = len(exact.split(".")[1])
    sign = "+" if mask.relative_to is not None else ""
    return minus(f"{value:{sign}.{max(least, typed)}f}")


def margin_text(margin: float, *, quantity: str, signed: bool = False) -> str:
    """Write a margin with its unit; a dash for none."""
    if not math.isfinite(margin):
        return NONE
    places = min(decimals_of(quantity), 2)
    sign = "+" if signed else ""
    value = minus(f"{round(margin, places) + 0.0:{sign}.{places}f}")
    unit = unit_of(quantity)
    return f"{value}{unit}" if unit == "°" else f"{value} {unit}".rstrip()


def mask_title(name: str) -> str:
    """Return what a mask is called on the screen: as in the file, with a capital."""
    words = quantity_name(name) if name in {**CURVES, **NUMBERS} else name.replace("_", " ")
    return words[:1].upper() + words[1:]


def held_as(mask: Mask) -> str:
    """Say in which unit a mask counts, and from what: ``dB re reference unit, level-aligned``."""
    unit = unit_of(mask.quantity)
    parts = [f"{unit} re reference unit" if mask.relative_to else unit]
    if mask.align == "level":
        parts.append("level-aligned")
    return ", ".join(filter(None, parts))


def hz_typed(hz: float) -> str:
    """Write a frequency for a field: plain Hz, no more places than it has."""
    return f"{hz:.6g}"
