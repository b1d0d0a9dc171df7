"""Limits where a person sees them: on the axis of the curve that is held against them."""

import math
from dataclasses import dataclass
from typing import Literal

import numpy as np

from dsp.arrays import Floats, read_only
from dsp.conformity.align import level_offset
from dsp.conformity.deviation import known_range
from dsp.conformity.mask import Line, MaskLines
from dsp.conformity.read_at import read_at
from dsp.curve import Curve, ValidRange
from dsp.grid import log_grid

_PER_OCTAVE = 48  # fine enough that what bends between two points looks as it is


Side = Literal["upper", "lower"]


@dataclass(frozen=True, slots=True, eq=False, kw_only=True)
class DrawnLimit:
    """One side of a mask.

    Attributes
    ----------
    side : str
        ``upper`` or ``lower``.
    frequency_hz : (n,) array
        Hz, rising; empty where one value holds at every frequency.
    value : (n,) array
        In the curve's unit; one value where ``frequency_hz`` is empty.
    """

    side: Side
    frequency_hz: Floats
    value: Floats

    def __post_init__(self) -> None:
        object.__setattr__(self, "frequency_hz", read_only(self.frequency_hz))
        object.__setattr__(self, "value", read_only(self.value))


def drawn_limits(
    mask: MaskLines,
    *,
    curve: Curve | None = None,
    reference: Curve | None = None,
    align: bool = False,
    align_band_hz: tuple[float, float] | None = None,
    fine: bool = False,
) -> tuple[DrawnLimit, ...]:
    """Put limits where ``judge_curve`` held the curve against them.

    Parameters
    ----------
    mask : MaskLines
        About the reference where there is one.
    curve : Curve or None
        What is judged; needed to align.
    reference : Curve or None
        Added to the limits, inside its own valid range.
    align : bool
        Whether the mean deviation was taken out of the curve; it is put onto the limits here.
    align_band_hz : (low, high) or None
        As for ``judge_curve``.
    fine : bool
        Give points between the mask's own, for axes on which its straight lines bend.

    Returns
    -------
    tuple of DrawnLimit, upper first; empty where the level to align by is not known.
    """
    offset = 0.0
    if align:
        offset = _offset(mask, curve=curve, reference=reference, band_hz=align_band_hz)
        if math.isnan(offset):
            return ()
    drawn = []
    sides: tuple[tuple[Side, Line], ...] = (("upper", mask.upper), ("lower", mask.lower))
    for side, line in sides:
        if line is None:
            continue
        hz = _places(line, reference=reference, fine=fine)
        if not hz.size and isinstance(line, tuple):
            continue  # the reference holds nowhere on it
        value = _value(line, hz) + offset
        if reference is not None:
            value = value + read_at(reference, frequency_hz=hz).value
        drawn.append(DrawnLimit(side=side, frequency_hz=hz, value=value))
    return tuple(drawn)


def _offset(
    mask: MaskLines,
    *,
    curve: Curve | None,
    reference: Curve | None,
    band_hz: tuple[float, float] | None,
) -> float:
    if curve is None:
        return math.nan
    known = known_range(curve, reference=reference)
    low, high = band_hz or mask.span_hz
    band = ValidRange(low_hz=low, high_hz=high).within(known)
    return level_offset(curve, mask=mask, reference=reference, band=band)


def _places(line: Line, *, reference: Curve | None, fine: bool) -> Floats:
    own = np.array([hz for hz, _ in line]) if isinstance(line, tuple) else np.empty(0)
    if reference is None:
        return _with_between(own) if fine and own.size > 1 else own
    held = reference.frequency_hz[reference.valid.holds(reference.frequency_hz)]
    if not isinstance(line, tuple):
        return held
    between = held[(held >= own[0]) & (held <= own[-1])]
    ends = own[reference.valid.holds(own)]
    return np.union1d(between, ends)


def _with_between(hz: Floats) -> Floats:
    grid = log_grid(low_hz=float(hz[0]), high_hz=float(hz[-1]), per_octave=_PER_OCTAVE)
    return np.union1d(hz, grid)


def _value(line: Line, hz: Floats) -> Floats:
    if not isinstance(line, tuple):
        return np.full(max(1, hz.size), float(line or 0.0))
    own, value = np.array(line, dtype=np.float64).T
    limit: Floats = np.interp(np.log(hz), np.log(own), value)
    return limit
