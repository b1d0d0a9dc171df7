"""Where the axes have lines and words: preferred frequencies, round steps."""

import math
from dataclasses import dataclass
from decimal import Decimal

from app.desktop.plots.frame import Span

_WORDED = (1, 2, 5)
_DIGITS = tuple(range(1, 10))
_MOST_WORDS = 6.0
_FEW = 4  # words: fewer hardly make a scale
_FINER = {"1": (1 / 2,), "2": (1 / 2,), "5": (4 / 5, 1 / 2)}  # of steps, by their first digit
_DENSE = 1.25
_MOST_HZ = 8.0  # words of a frequency axis far zoomed in


@dataclass(frozen=True, slots=True, kw_only=True)
class Ticks:
    """Places of an axis in its own units, and the words at the labelled ones."""

    labelled: tuple[float, ...]
    words: tuple[str, ...]
    minor: tuple[float, ...] = ()


def frequency_ticks(span: Span) -> Ticks:
    """Return the ticks of a frequency axis; ``span`` and places in log10 of Hz.

    Words at 1, 2, 5 of each decade, lines at the other digits; zoomed in, the digits get words
    too, and then round steps between them.
    """
    for digits in (_WORDED, _DIGITS):
        hz = _in_decades(span, digits)
        if len(hz) >= 3:  # fewer don't make a scale
            break
    else:
        low, high = 10**span.low, 10**span.high
        hz = _steps(low, high, step=round_step(high - low, most=_MOST_HZ))
    minor = [value for value in _in_decades(span, _DIGITS) if value not in hz]
    return Ticks(
        labelled=tuple(math.log10(value) for value in hz),
        words=tuple(hz_word(value) for value in hz),
        minor=tuple(math.log10(value) for value in minor),
    )


def value_ticks(span: Span, *, most: float = _MOST_WORDS, signed: bool | None = None) -> Ticks:
    """Return round steps on a linear axis, at most ``most`` intervals; half steps as minor lines.

    ``signed`` writes a plus; by default where the axis has both signs.
    """
    step = _value_step(span, most=most)
    values = _steps(span.low, span.high, step=step)
    with_plus = span.low < 0 < span.high if signed is None else signed
    return Ticks(
        labelled=tuple(values),
        words=tuple(step_word(value, step=step, signed=with_plus) for value in values),
        minor=tuple(v for v in _steps(span.low, span.high, step=step / 2) if v not in values),
    )


def degree_ticks(span: Span) -> Ticks:
    """Return the ticks of a phase axis: quarter or half turns."""
    step = next((s for s in (45, 90, 180, 360) if span.length / s <= 5), 720)
    values = _steps(span.low, span.high, step=step)
    words = tuple("0" if v == 0 else f"{v:.0f}°".replace("-", "−") for v in values)
    return Ticks(labelled=tuple(values), words=words)


def per_cent_ticks(span: Span) -> Ticks:
    """Return whole decades of per cent on an axis in dB, up to 0 dB, which is 100 %."""
    first, last = math.ceil(span.low / 20), min(math.floor(span.high / 20), 0)
    decades = range(first, last + 1)
    return Ticks(
        labelled=tuple(20.0 * decade for decade in decades),
        words=tuple(f"{10.0 ** (2 + decade):g} %" for decade in decades),
    )


def round_step(length: float, *, most: float) -> float:
    """Return the smallest of 1, 2, 5 times a power of ten with at most ``most`` in a length."""
    least = length / most
    decade = 10.0 ** math.floor(math.log10(least))
    return float(next(d * decade for d in (1, 2, 5, 10) if d * decade >= least * (1 - 1e-9)))


def hz_word(hz: float) -> str:
    """Return a frequency as the axis writes it: 500, 1k, 1.25k."""
    return f"{hz:.6g}" if hz < 1000 else f"{hz / 1000:.6g}k"


def step_word(value: float, *, step: float, signed: bool = False) -> str:
    """Return a value as the axis writes it, with the places its step needs and a true minus."""
    places = max(0, -int(Decimal(f"{step:.3g}").normalize().as_tuple().exponent))
    if abs(value) < step / 1e6:
        return "0"
    text = f"{value:+.{places}f}" if signed else f"{value:.{places}f}"
    return text.replace("-", "−")


def _value_step(span: Span, *, most: float) -> float:
    step = round_step(span.length, most=most)
    # Where it leaves three words or fewer, the next finer one may be a little dense instead.
    for part in (1.0, *_FINER[f"{step:e}"[0]]):
        one = step * part
        enough = len(_steps(span.low, span.high, step=one)) >= _FEW
        if enough and span.length / one <= _DENSE * most:
            return one
    return step


def _in_decades(span: Span, digits: tuple[int, ...]) -> list[float]:
    slack = 1e-9
    low, high = span.low - slack, span.high + slack
    return [
        digit * 10.0**decade
        for decade in range(math.floor(low), math.floor(high) + 1)
        for digit in digits
        if low <= decade + math.log10(digit) <= high
    ]


def _steps(low: float, high: float, *, step: float) -> list[float]:
    first, last = math.ceil(low / step - 1e-6), math.floor(high / step + 1e-6)
    return [index * step for index in range(first, last + 1)]
