"""How two takes differ: figure by figure, to the last bit."""

import math
from collections.abc import Mapping
from dataclasses import dataclass

import numpy as np

from app.records.take import Take
from dsp import Curve, Floats, Number
from dsp.arrays import Bools
from dsp.conformity.deviation import deviation_at, known_range
from dsp.conformity.verdict import Verdict


@dataclass(frozen=True, slots=True, kw_only=True)
class NumberDifference:
    """One number of two takes; None where a take does not have it."""

    name: str
    old: Number | None
    new: Number | None

    @property
    def is_same(self) -> bool:
        """Whether both say the same, bit for bit."""
        if self.old is None or self.new is None:
            return self.old is self.new
        return _same(self.old.value, self.new.value) and _same(
            self.old.uncertainty, self.new.uncertainty
        )

    @property
    def away(self) -> float:
        """New less old, in the number's unit; NaN where one is missing."""
        if self.old is None or self.new is None:
            return math.nan
        return self.new.value - self.old.value

    @property
    def interval(self) -> float | None:
        """Expanded uncertainty of ``away``, k = 2, as if both were independent; None: not known."""
        if self.old is None or self.new is None:
            return None
        if self.old.uncertainty is None or self.new.uncertainty is None:
            return None
        return 2.0 * math.hypot(
            self.old.uncertainty / self.old.k, self.new.uncertainty / self.new.k
        )


@dataclass(frozen=True, slots=True, kw_only=True)
class CurveDifference:
    """One curve of two takes.

    Attributes
    ----------
    name, unit : str
        Of the curve.
    is_same : bool
        Whether every point is the same, bit for bit.
    largest : float
        New less old where they lie farthest apart within both valid ranges, in ``unit``; NaN where
        they cannot be compared.
    at_hz : float or None
        Where that is.
    interval : float
        Expanded uncertainty of ``largest``, k = 2, as if both were independent; NaN: not known.
    """

    name: str
    unit: str
    is_same: bool
    largest: float
    at_hz: float | None
    interval: float


@dataclass(frozen=True, slots=True, kw_only=True)
class Differences:
    """Two takes, compared; in the order in which the new one names its figures."""

    numbers: tuple[NumberDifference, ...]
    curves: tuple[CurveDifference, ...]
    old_verdict: Verdict
    new_verdict: Verdict

    @property
    def are_none(self) -> bool:
        """Whether every figure and the verdict are the same, bit for bit."""
        same = [one.is_same for one in self.numbers] + [one.is_same for one in self.curves]
        return self.old_verdict is self.new_verdict and all(same)


def differences(old: Take, new: Take) -> Differences:
    """Compare every figure of two takes.

    Parameters
    ----------
    old, new : Take
        Of the same unit or of different ones; figures are matched by name.

    Returns
    -------
    Differences
    """
    return Differences(
        numbers=tuple(
            NumberDifference(name=name, old=old.numbers.get(name), new=new.numbers.get(name))
            for name in _names(new.numbers, old.numbers)
        ),
        curves=tuple(
            _curve_difference(name, old=old.curves.get(name), new=new.curves.get(name))
            for name in _names(new.curves, old.curves)
        ),
        old_verdict=old.verdict,
        new_verdict=new.verdict,
    )


def _names(first: Mapping[str, object], then: Mapping[str, object]) -> list[str]:
    return list(dict.fromkeys([*first, *then]))


def _curve_difference(name: str, *, old: Curve | None, new: Curve | None) -> CurveDifference:
    if old is None or new is None:
        there = old or new
        return CurveDifference(
            name=name,
            unit=there.unit if there else "",
            is_same=False,
            largest=math.nan,
            at_hz=None,
            interval=math.nan,
        )
    away = deviation_at(new, reference=old, frequency_hz=new.frequency_hz)
    held = known_range(new, reference=old).holds(new.frequency_hz)
    known = held & np.isfinite(away.measured)
    place = int(np.argmax(np.where(known, np.abs(away.measured), -1.0))) if known.any() else None
    return CurveDifference(
        name=name,
        unit=new.unit,
        is_same=_same_curve(old, new),
        largest=math.nan if place is None else float(away.measured[place]),
        at_hz=None if place is None else float(new.frequency_hz[place]),
        interval=math.nan if place is None else float(away.uncertainty[place]),
    )


def _same_curve(old: Curve, new: Curve) -> bool:
    pairs = (
        (old.frequency_hz, new.frequency_hz),
        (old.value, new.value),
        (old.uncertainty, new.uncertainty),
        (old.is_bound, new.is_bound),
    )
    return old.valid == new.valid and all(_same_array(one, other) for one, other in pairs)


def _same_array(one: Floats | Bools | None, other: Floats | Bools | None) -> bool:
    if one is None or other is None:
        return one is other
    return one.shape == other.shape and one.tobytes() == other.tobytes()


def _same(one: float | None, other: float | None) -> bool:
    if one is None or other is None:
        return one is other
    return one == other or (math.isnan(one) and math.isnan(other))
