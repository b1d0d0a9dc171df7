"""Curves of many units on the same frequencies, so that all are judged in one go."""

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from dsp.arrays import AnyArray, Bools, Floats, Ints, read_only
from dsp.curve import Curve
from dsp.later import Later


@dataclass(frozen=True, slots=True, eq=False, kw_only=True)
class CurveSet:
    """The same quantity of several units, a row a unit; see Curve for the meanings.

    In memory the units of one frequency lie side by side, which is how limits are compared with
    them; a row is therefore a slower read than a column.

    Attributes
    ----------
    members : (units,) int array
        Places of these units in the sequence that they were gathered from.
    frequency_hz : (n,) array
        Hz, rising.
    value : (units, n) array
        In ``unit``; NaN where nothing is known.
    doubt : Later of (units, n) array
        The uncertainty, which little of what is asked about limits needs.
    is_bound : (units, n) bool array
        Where the value is only an upper bound.
    low_hz, high_hz : (units,) array
        Hz, where each may be believed, inside its points; low above high: nowhere.
    low_reason, high_reason : tuple of str
        What ends that, a unit each.
    unit : str
        As the curves'.
    """

    members: Ints
    frequency_hz: Floats
    value: Floats
    doubt: Later[Floats]
    is_bound: Bools
    low_hz: Floats
    high_hz: Floats
    low_reason: tuple[str, ...]
    high_reason: tuple[str, ...]
    unit: str

    @property
    def uncertainty(self) -> Floats:
        """Expanded, k = 2, (units, n), in ``unit``; NaN where it is not known."""
        return self.doubt()


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
        value=side_by_side([one.value for one in ours]),
        doubt=Later(
            lambda: side_by_side(
                [unknown if one.uncertainty is None else one.uncertainty for one in ours]
            )
        ),
        is_bound=side_by_side([measured if one.is_bound is None else one.is_bound for one in ours]),
        low_hz=read_only(np.array([max(one.valid.low_hz, first.frequency_hz[0]) for one in ours])),
        high_hz=read_only(
            np.array([min(one.valid.high_hz, first.frequency_hz[-1]) for one in ours])
        ),
        low_reason=tuple(one.valid.low_reason for one in ours),
        high_reason=tuple(one.valid.high_reason for one in ours),
        unit=first.unit,
    )


def side_by_side(rows: Sequence[AnyArray]) -> AnyArray:
    """Stack the rows of units so that in memory the units of one frequency are neighbours.

    Parameters
    ----------
    rows : sequence of (n,) array
        A unit each.

    Returns
    -------
    (units, n) array, in columns, closed.
    """
    return read_only(np.stack(rows, axis=1).T)  # type: ignore[return-value]
