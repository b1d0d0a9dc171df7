"""Figures as a person reads them: a value never wider than its interval justifies."""

import math
import re
from dataclasses import dataclass
from datetime import timedelta

from app.desktop.presenters.mark import Mark
from app.report.rounding import decimals
from app.report.units import short_unit

NONE = "—"
_SPACE = "\N{NO-BREAK SPACE}"
_BARE_DIGITS = 4  # significant digits of a value whose interval is not known
_ONE_DIGIT_LOSES = 0.05  # of the interval; more than that, and it is rounded up
_GROUPED_FROM = 10_000
_KILO = 1000.0
# A hyphen that stands for a sign: before a digit, and not inside a serial such as T4-W31.
_SIGN = re.compile(r"(?<![\w-])-(?=[\d.])")


@dataclass(frozen=True, slots=True, kw_only=True)
class Fact:
    """One line of a table of facts, ready to be painted.

    ``note`` is what a person reads who asks for more: why a mark stands there, how it came about.
    """

    name: str
    value: str
    interval: str = ""
    unit: str = ""
    mark: Mark | None = None
    note: str = ""


def fact_of(
    name: str,
    value: float | None,
    interval: float | None,
    *,
    unit: str,
    mark: Mark | None = None,
    note: str = "",
) -> Fact:
    """Return a value with its interval, both rounded to the same place; dashes for nothing."""
    return Fact(
        name=name,
        value=value_text(value, interval),
        interval=interval_text(interval) if _is_figure(value) else "",
        unit=short_unit(unit),
        mark=mark,
        note=note,
    )


def value_text(
    value: float | None,
    interval: float | None = None,
    *,
    signed: bool = False,
    digits: int | None = None,
) -> str:
    """Write a value to the last place of its interval; four digits where there is none.

    ``digits`` of the interval are told instead of one, or two where the first is 1 or 2.
    """
    if value is None or not math.isfinite(value):
        return NONE
    if _is_figure(interval) and interval:
        return _written(value, _places(interval, digits=digits), signed=signed)
    if value == 0:
        return "0"
    bare = _written(value, decimals(abs(value), digits=_BARE_DIGITS), signed=signed)
    return bare.rstrip("0").rstrip(".") if "." in bare else bare


def interval_text(interval: float | None, *, digits: int | None = None) -> str:
    """Write an expanded uncertainty with one digit, or two where the first is 1 or 2.

    Never smaller than it is by more than 5 % (EA-4/02 M:2022, 6.3: then it is rounded up).
    """
    if interval is None or not math.isfinite(interval) or interval == 0:
        return ""
    places = _places(interval, digits=digits)
    shown = round(interval, places)
    if shown < interval * (1 - _ONE_DIGIT_LOSES):
        shown += 10.0**-places
    return "±" + _written(shown, places)


def hz_text(hz: float | None) -> str:
    """Write a frequency with three digits: ``75.2 Hz``, ``210 Hz``, ``1.25 kHz``."""
    if hz is None or not math.isfinite(hz):
        return NONE
    if hz <= 0:
        return f"{minus(f'{hz:g}')} Hz"
    shown = float(f"{hz:.3g}")
    return f"{shown / _KILO:g} kHz" if shown >= _KILO else f"{shown:g} Hz"


def minus(text: str) -> str:
    """Put the true minus where a hyphen stands for one."""
    return _SIGN.sub("−", text)


def age_text(age: timedelta | float) -> str:
    """Write an age, or days, in its largest whole unit: ``3 d``, ``5 h``, ``12 min``."""
    seconds = age.total_seconds() if isinstance(age, timedelta) else age * 86_400
    for name, length in (("d", 86_400), ("h", 3_600), ("min", 60)):
        if seconds >= length:
            return f"{int(seconds // length)} {name}"
    return "now"


def with_unit(value: str, unit: str) -> str:
    """Join a value and its short unit; degrees stand close."""
    short = short_unit(unit)
    if not short or value == NONE:
        return value
    return f"{value}{short}" if short == "°" else f"{value} {short}"


def _is_figure(value: float | None) -> bool:
    return value is not None and math.isfinite(value)


def _places(interval: float, *, digits: int | None = None) -> int:
    leading = f"{interval:e}"[0]
    return decimals(interval, digits=digits or (2 if leading in "12" else 1))


def _written(value: float, places: int, *, signed: bool = False) -> str:
    rounded = round(value, places) + 0.0  # no "-0"
    group = "," if abs(rounded) >= _GROUPED_FROM else ""
    sign = "+" if signed and rounded else ""
    return minus(f"{rounded:{sign}{group}.{max(0, places)}f}".replace(",", _SPACE))
