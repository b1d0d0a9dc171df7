"""How much the value axes of the Measure bay show: what lines and masks need, on round ends."""

import math
from collections.abc import Iterable, Sequence

import numpy as np

from app.desktop.plots.line import LineRole, PlotLine
from app.desktop.plots.mask import PlotMask
from dsp import Floats

Span = tuple[float, float]

_LEVEL_DB, _DISTORTION_DB = 50.0, 65.0
_LEVELS = {LineRole.TAKE, LineRole.OVERLAY, LineRole.REFERENCE}
_OHM_STEPS = (5.0, 10.0, 20.0, 50.0, 100.0, 200.0)
_WORDS_AT_MOST = 5
_HALVES = (0.1, 0.2, 0.5, 1.0, 2.0, 5.0, 10.0, 20.0, 50.0, 100.0, 200.0, 500.0)


def level_span(lines: Sequence[PlotLine], *, masks: Sequence[PlotMask]) -> Span:
    """Span fifty decibels with the levels and their masks at the top of it."""
    tops = [_top(_held(line)) for line in lines if line.role in _LEVELS and not line.right]
    top = 10.0 * math.ceil((_highest(tops, masks=masks, default=95.0) + 3.0) / 10.0)
    return (top - _LEVEL_DB, top)


def distortion_span(lines: Sequence[PlotLine], *, masks: Sequence[PlotMask]) -> Span:
    """Span 65 dB; a ratio of more than one says nothing more."""
    tops = [_top(line.y) for line in lines]
    top = min(0.0, 10.0 * math.ceil(_highest(tops, masks=masks, default=-18.0) / 10.0))
    return (top - _DISTORTION_DB, top)


def ohm_span(lines: Sequence[PlotLine], *, masks: Sequence[PlotMask]) -> Span:
    """Span from nothing to just above the highest peak."""
    tops = [_top(line.y) for line in lines if not line.right]
    top = _highest(tops, masks=masks, default=38.0) * 1.05
    step = next((one for one in _OHM_STEPS if top / one <= _WORDS_AT_MOST), _OHM_STEPS[-1])
    return (0.0, step * math.ceil(top / step))


def difference_span(lines: Sequence[PlotLine], *, masks: Sequence[PlotMask], least: float) -> Span:
    """Span as much above nothing as below it, ``least`` either way at the least."""
    tops = [_top(np.abs(_held(line))) for line in lines]
    tops += [float(np.abs(mask.values).max()) for mask in masks]
    most = _highest(tops, masks=(), default=0.0)
    half = max(least, next((one for one in _HALVES if one > most), _HALVES[-1]))
    return (-half, half)


def _highest(tops: Iterable[float], *, masks: Sequence[PlotMask], default: float) -> float:
    known = [top for top in tops if math.isfinite(top)]
    known += [float(mask.values.max()) for mask in masks]
    return max(known, default=default)


def _held(line: PlotLine) -> Floats:
    low, high = line.valid or (0.0, math.inf)
    return line.y[(line.x >= low) & (line.x <= high)]


def _top(values: Floats) -> float:
    return float(np.nanmax(values)) if np.isfinite(values).any() else math.nan
