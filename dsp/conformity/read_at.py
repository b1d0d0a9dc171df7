"""Read a curve at given frequencies, on straight lines over log f between its points."""

from dataclasses import dataclass

import numpy as np

from dsp.arrays import Bools, Floats
from dsp.conformity.curve_set import CurveSet
from dsp.curve import Curve
from dsp.later import Later


@dataclass(frozen=True, slots=True, eq=False, kw_only=True)
class CurveAt:
    """What a curve holds at some frequencies.

    Attributes
    ----------
    value : (n,) or (units, n) array
        In the curve's unit; NaN outside its points, and beside a missing one.
    doubt : Later of (n,) or (units, n) array
        The uncertainty.
    is_bound : (n,) or (units, n) bool array
        True where ``value`` is an upper bound, or lies between two points of which one is.
    """

    value: Floats
    doubt: Later[Floats]
    is_bound: Bools

    @property
    def uncertainty(self) -> Floats:
        """Expanded, k = 2, in the curve's unit, of the shape of ``value``; NaN: not known."""
        return self.doubt()


def read_at(curve: Curve | CurveSet, *, frequency_hz: Floats) -> CurveAt:
    """Interpolate value, uncertainty and bounds.

    Parameters
    ----------
    curve : Curve, (m,), or CurveSet, (units, m)
        Angles (unit ``deg``) are taken the short way round, and given within -180 to 180.
    frequency_hz : (n,) array
        Hz. A frequency within 1e-9 of a point's is that point.

    Returns
    -------
    CurveAt, (n,), or (units, n) of a set
    """
    if frequency_hz is curve.frequency_hz:  # nothing lies between, and a set is large
        return _at_own(curve)
    place, points = np.log(frequency_hz), np.log(curve.frequency_hz)
    right = np.clip(np.searchsorted(points, place), min(1, points.size - 1), points.size - 1)
    left = np.maximum(right - 1, 0)
    gap = np.maximum(points[right] - points[left], 1e-300)  # 0 only where there is one point
    share = (place - points[left]) / gap
    share[np.abs(place - points[left]) < 1e-9] = 0.0
    share[np.abs(place - points[right]) < 1e-9] = 1.0
    outside = (share < 0) | (share > 1)

    def between(values: Floats, *, turn: float = 0.0) -> Floats:
        before, after = _finite(values[..., left]), _finite(values[..., right])
        rise = after - before
        if turn:
            rise -= turn * np.round(rise / turn)
        # A point is itself, whether or not its neighbour is known.
        line = np.where(share == 1, after, before + share * rise)
        found = np.where(share == 0, before, line)
        found[..., outside] = np.nan
        return found

    unknown = np.full(points.size, np.nan)
    none = np.zeros(points.size, dtype=np.bool_)
    hidden = none if curve.is_bound is None else curve.is_bound
    value = between(curve.value, turn=360.0 if curve.unit == "deg" else 0.0)
    return CurveAt(
        value=value - 360.0 * np.round(value / 360.0) if curve.unit == "deg" else value,
        doubt=Later(lambda: between(unknown if curve.uncertainty is None else curve.uncertainty)),
        is_bound=((share < 1) & hidden[..., left]) | ((share > 0) & hidden[..., right]),
    )


def _at_own(curve: Curve | CurveSet) -> CurveAt:
    value = _finite(curve.value)
    if curve.unit == "deg":
        value = value - 360.0 * np.round(value / 360.0)

    def doubt() -> Floats:
        known = curve.uncertainty
        return np.full(value.shape, np.nan) if known is None else _finite(known)

    none = np.zeros(value.shape, dtype=np.bool_) if curve.is_bound is None else curve.is_bound
    return CurveAt(value=value, doubt=Later(doubt), is_bound=none)


def _finite(values: Floats) -> Floats:
    finite = np.isfinite(values)
    return values if finite.all() else np.where(finite, values, np.nan)
