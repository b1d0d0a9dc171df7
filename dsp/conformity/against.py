"""A set of curves and what it is judged about: what does not change while a mask does."""

from dataclasses import dataclass

import numpy as np

from dsp.arrays import Floats, read_only
from dsp.conformity.curve_set import CurveSet
from dsp.conformity.deviation import Deviation, deviation_at
from dsp.curve import Curve
from dsp.errors import DspError


@dataclass(frozen=True, slots=True, eq=False, kw_only=True)
class Against:
    """A set, and how far it lies from a reference.

    Attributes
    ----------
    curves : CurveSet, (units, n)
        What is judged.
    reference : Curve or None
        What the limits are about.
    own : Deviation, (units, n)
        At the set's own frequencies.
    low_hz, high_hz : (units,) array
        Hz, where each unit and the reference may be believed.
    """

    curves: CurveSet
    reference: Curve | None
    own: Deviation
    low_hz: Floats
    high_hz: Floats


def against(curves: CurveSet, *, reference: Curve | None = None) -> Against:
    """Subtract a reference, once for all masks.

    Parameters
    ----------
    curves : CurveSet
        What is judged.
    reference : Curve or None
        Same unit.

    Returns
    -------
    Against

    Raises
    ------
    DspError
        The reference is in another unit.
    """
    low, high = curves.low_hz, curves.high_hz
    if reference is not None:
        if reference.unit != curves.unit:
            raise DspError(
                "against", "reference in another unit", given=reference.unit, allowed=curves.unit
            )
        points = reference.frequency_hz
        low = np.maximum(low, max(reference.valid.low_hz, points[0]))
        high = np.minimum(high, min(reference.valid.high_hz, points[-1]))
    return Against(
        curves=curves,
        reference=reference,
        own=deviation_at(curves, reference=reference, frequency_hz=curves.frequency_hz),
        low_hz=read_only(low),
        high_hz=read_only(high),
    )
