"""Curves of many units on the same frequencies, so that all are judged in one go."""

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from dsp.arrays import Bools, Floats, Ints, read_only
from dsp.curve import Curve


@dataclass(frozen=True, slots=True, eq=False, kw_only=True)
class CurveSet:
    """The same quantity of several units, a row a unit; see Curve for the meanings.

    Attributes
    ----------
    members : (units,) int array
        Places of these units in the sequence that they were gathered from.
    frequency_hz : (n,) array
        Hz, rising.
    value, uncertainty : (units, n) array
        In ``unit``; NaN where nothing is known.
    is_bound : (units, n) bool array
        Where the value is only an upper bound.
    low_hz, high_hz : (units,) array
        Hz, where each may be believed, inside its points; low above high: nowhere.
    unit : str
        As the curves'.
    """

    members: Ints
    frequency_hz: Floats
    value: Floats
    uncertainty: Floats
    is_bound: Bools
    low_hz: Floats
    high_hz: Floats
    unit: str


def gather(curves: Sequence[Curve | None]) -> tuple[CurveSet, ...]:
    """Put curves on equal frequencies and in equal units together.

    Parameters
    ----------
    curves : sequence of Curve or None
        None, and a curve without points, belong to no set.

    Returns
    -------
    tuple of CurveSet, in the order in which their first member comes.
    """
    groups: dict[tuple[str, bytes], list[int]] = {}
    for number, curve in enumerate(curves):
        if curve is not None and curve.frequency_hz.size:
            groups.setdefault((curve.unit, curve.frequency_hz.tobytes()), []).append(number)
    return tuple(_joined(curves, members=members) for members in groups.values())


def _joined(curves: Sequence[Curve | None], *, members: list[int]) -> CurveSet:
    ours = [curve for number in members if (curve := curves[number]) is not None]
    first = ours[0]
    unknown = np.full(first.frequency_hz.size, np.nan)
    measured = np.zeros(first.frequency_hz.size, dtype=np.bool_)
    return CurveSet(
        members=read_only(np.array(members, dtype=np.int64)),
        frequency_hz=first.frequency_hz,
        value=read_only(np.stack([one.value for one in ours])),
        uncertainty=read_only(
            np.stack([unknown if one.uncertainty is None else one.uncertainty for one in ours])
        ),
        is_bound=read_only(
            np.stack([measured if one.is_bound is None else one.is_bound for one in ours])
        ),
        low_hz=read_only(np.array([max(one.valid.low_hz, first.frequency_hz[0]) for one in ours])),
        high_hz=read_only(
            np.array([min(one.valid.high_hz, first.frequency_hz[-1]) for one in ours])
        ),
        unit=first.unit,
    )
