"""What a mask is held against: a curve, or its difference from a reference, as far as known."""

from dataclasses import dataclass

import numpy as np

from dsp.arrays import Bools, Floats
from dsp.conformity.curve_set import CurveSet
from dsp.conformity.read_at import CurveAt, read_at
from dsp.curve import Curve, ValidRange
from dsp.later import Later


@dataclass(frozen=True, slots=True, eq=False, kw_only=True)
class Deviation:
    """Between what values the judged quantity lies at each place, apart from its uncertainty.

    Attributes
    ----------
    least, most : (n,) or (units, n) array
        In the quantity's unit; equal where it was measured. Where the curve is an upper bound
        ``least`` is -inf, where the reference is one ``most`` is +inf; both where nothing is known.
    doubt : Later of (n,) or (units, n) array
        The uncertainty.
    """

    least: Floats
    most: Floats
    doubt: Later[Floats]

    @property
    def uncertainty(self) -> Floats:
        """Expanded, k = 2, as ``least``; 0 at bounds (which hold it already), NaN: not known."""
        return self.doubt()

    @property
    def measured(self) -> Floats:
        """The deviation where it was measured, NaN elsewhere, of the same shape."""
        value: Floats = np.where(self.least == self.most, self.least, np.nan)
        return value


def deviation_at(
    curve: Curve | CurveSet, *, reference: Curve | None, frequency_hz: Floats
) -> Deviation:
    """Read a curve, or its difference from a reference, with what is known of it.

    Parameters
    ----------
    curve : Curve or CurveSet
        What is judged.
    reference : Curve or None
        What is subtracted, same unit. Differences of angles lie within -180 to 180 deg.
    frequency_hz : (n,) array
        Hz.

    Returns
    -------
    Deviation, (n,), or (units, n) of a set. The uncertainties of both curves add as independent
    ones: on one station what they share cancels in the difference, so that this is rather too much
    than too little.
    """
    own = read_at(curve, frequency_hz=frequency_hz)
    value, floor = own.value, own.is_bound
    ceiling = np.zeros(value.shape, dtype=np.bool_)
    other = None if reference is None else read_at(reference, frequency_hz=frequency_hz)
    if other is not None:
        value = value - other.value
        if curve.unit == "deg":
            value = value - 360.0 * np.round(value / 360.0)
        ceiling = other.is_bound
    unknown = np.isnan(value)
    return Deviation(
        least=_where(floor | unknown, -np.inf, value),
        most=_where(ceiling | unknown, np.inf, value),
        doubt=Later(lambda: _doubt(own, other)),
    )


def _doubt(own: CurveAt, other: CurveAt | None) -> Floats:
    found = _where(own.is_bound, 0.0, own.uncertainty)
    if other is None:
        return found
    both: Floats = np.hypot(found, _where(other.is_bound, 0.0, other.uncertainty))
    return both


def _where(there: Bools, put: float, value: Floats) -> Floats:
    # What is measured throughout is one array: a set of many units is large.
    return np.where(there, put, value) if there.any() else value


def known_range(curve: Curve, *, reference: Curve | None) -> ValidRange:
    """Tell where a curve, and its reference, can be judged.

    Parameters
    ----------
    curve : Curve
        What is judged.
    reference : Curve or None
        What is subtracted.

    Returns
    -------
    ValidRange, what both hold, inside the points that they have.
    """
    span = curve.valid.within(_points(curve))
    if reference is None:
        return span
    other = reference.valid.within(_points(reference))
    return span.within(
        ValidRange(
            low_hz=other.low_hz,
            high_hz=other.high_hz,
            low_reason=f"{other.low_reason} of the reference",
            high_reason=f"{other.high_reason} of the reference",
        )
    )


def _points(curve: Curve) -> ValidRange:
    return ValidRange(
        low_hz=float(curve.frequency_hz[0]) if curve.frequency_hz.size else np.inf,
        high_hz=float(curve.frequency_hz[-1]) if curve.frequency_hz.size else 0.0,
        low_reason="first point",
        high_reason="last point",
    )
