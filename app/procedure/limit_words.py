"""Limits, frequencies and counts as they stand in a sentence: short unit, true minus."""

from app.procedure.mask_schema import Mask
from app.procedure.names import CURVES, NUMBERS

_UNITS = {"1": "", "ohm": "Ω", "deg": "°", "T m": "T·m", "cm2": "cm²"}


def amount(value: float, *, mask: Mask, unit: bool = True) -> str:
    """Write a limit of a mask; with its sign where it counts from the reference unit."""
    said = f"{value:{'+' if mask.relative_to else ''}.6g}"
    return _written(said, mask=mask) if unit else said.replace("-", "−")


def signed(step: float, *, mask: Mask) -> str:
    """Write by how much a limit of a mask moved."""
    return _written(f"{step:+.6g}", mask=mask)


def frequency(hz: float) -> str:
    """Write a frequency: ``700 Hz``, ``3.15 kHz``."""
    return f"{hz / 1000:.6g} kHz" if hz >= 1000 else f"{hz:.6g} Hz"


def counted(number: int, thing: str) -> str:
    """Write how many: ``1 point``, ``2 points``."""
    return f"{number} {thing}" if number == 1 else f"{number} {thing}s"


def _written(said: str, *, mask: Mask) -> str:
    whole = {**CURVES, **NUMBERS}.get(mask.quantity, "")
    short = "dB" if whole.startswith("dB") else _UNITS.get(whole, whole)
    gap = "" if short in {"", "°"} else " "
    return f"{said.replace('-', '−')}{gap}{short}"
