"""How much a value axis shows when nobody has set it: all there is, on round ends."""

import math
from collections.abc import Iterable, Sequence

import numpy as np

from app.desktop.plots.drawn import Drawn
from app.desktop.plots.frame import Span
from app.desktop.plots.mask import PlotMask
from app.desktop.plots.spread import PlotSpread
from app.desktop.plots.ticks import round_step
from dsp.arrays import Floats

_MOST_DB = 70.0  # what lies further below the highest point says nothing
_PAD = 0.05
_HALF_TURN, _TURN_PAD = 180.0, 35.0  # degrees
_EMPTY_DB, _EMPTY = Span(low=50.0, high=102.0), Span(low=0.0, high=42.0)


def is_db(unit: str) -> bool:
    """Tell whether a unit is a level's."""
    return unit.startswith("dB")


def left_span(
    curves: Sequence[Drawn],
    *,
    masks: Iterable[PlotMask],
    spread: PlotSpread | None,
    unit: str,
) -> Span:
    """Return the span of the left axis."""
    seen = [curve.y for curve in curves if not curve.right]
    seen += [side for curve in curves if curve.band and not curve.right for side in curve.band]
    if spread is not None:
        seen += [spread.low, spread.high]
    held = [mask.values for mask in masks]
    values = _finite([*seen, *held])
    if not values.size:
        return _EMPTY_DB if is_db(unit) else _EMPTY
    low, high = float(values.min()), float(values.max())
    if is_db(unit):
        low = max(low, min(high - _MOST_DB, float(_finite(held).min(initial=high))))
    return _round_ends(low, high, from_zero=not is_db(unit) and low >= 0)


def degree_span(curves: Iterable[Drawn], *, beside: str) -> Span:
    """Return the span of a phase axis, symmetric; ``beside`` is the unit of the left one."""
    values = _finite([curve.y for curve in curves if curve.right])
    if not values.size:
        values = np.array([_HALF_TURN if is_db(beside) else _HALF_TURN / 2])
    most = float(np.abs(values).max())
    quarters = max(1, math.ceil(most / (_HALF_TURN / 2) - 0.05))
    end = quarters * _HALF_TURN / 2 + _TURN_PAD
    return Span(low=-end, high=end)


def right_span(curves: Iterable[Drawn], *, unit: str, beside: str) -> Span | None:
    """Return the span of a right axis that has one of its own; per cent shares the left one's."""
    if unit == "°":
        return degree_span(curves, beside=beside)
    if not unit or unit == "%":
        return None
    values = _finite([curve.y for curve in curves if curve.right])
    if not values.size:
        return _EMPTY_DB if is_db(unit) else _EMPTY
    low, high = float(values.min()), float(values.max())
    return _round_ends(low, high, from_zero=not is_db(unit) and low >= 0)


def _finite(parts: Iterable[Floats]) -> Floats:
    together = np.concatenate([np.empty(0), *(np.ravel(part) for part in parts)])
    finite: Floats = together[np.isfinite(together)]
    return finite


def _round_ends(low: float, high: float, *, from_zero: bool) -> Span:
    length = max(high - low, 1e-9 * max(abs(high), 1.0), 1e-12)
    if high - low < 1e-9 * max(abs(high), 1.0):
        length = max(abs(high), 1.0) * 0.2
    half_step = round_step(length * (1 + 2 * _PAD), most=6) / 2
    end = math.ceil((high + length * _PAD) / half_step) * half_step
    if from_zero:
        return Span(low=0.0, high=end)
    return Span(low=math.floor((low - length * _PAD) / half_step) * half_step, high=end)
