"""The values of a number, unit by unit, oldest first, between its limits."""

from dataclasses import dataclass, field

import numpy as np

from app.desktop.plots.trend_data import TrendGroup, TrendLimits, TrendPoints
from app.measure.rejudge import MaskTrial
from app.measure.trial import Trial
from app.procedure.edit_masks import value_of


@dataclass(frozen=True, slots=True, eq=False, kw_only=True)
class ValuesState:
    """What the plot of values shows."""

    points: TrendPoints = field(default_factory=TrendPoints)
    groups: tuple[TrendGroup, ...] = ()
    limits: TrendLimits = field(default_factory=TrendLimits)


def values_state(trial: Trial | None, result: MaskTrial | None) -> ValuesState:
    """Return values with their limits, parted by lots."""
    if trial is None or result is None or not trial.size:
        return ValuesState()
    mask = result.mask
    reference = trial.reference.numbers.get(mask.quantity) if trial.reference else None
    base = reference.value if mask.relative_to is not None and reference is not None else 0.0
    numbers = trial.numbers.get(mask.quantity, (None,) * trial.size)
    oldest = list(range(trial.size))[::-1]
    values, intervals = np.full(trial.size, np.nan), np.full(trial.size, np.nan)
    for place, unit in enumerate(oldest):
        number = numbers[unit]
        if number is not None and number.trusted:
            values[place] = number.value - base
            if number.uncertainty is not None:
                intervals[place] = 2 * number.uncertainty / number.k
    return ValuesState(
        points=TrendPoints(
            x=np.arange(trial.size, dtype=np.float64),
            y=values,
            keys=tuple(str(unit) for unit in oldest),
            interval=intervals,
            fails=result.fails[::-1],
        ),
        groups=_groups(trial, oldest),
        limits=TrendLimits(upper=value_of(mask, side="upper"), lower=value_of(mask, side="lower")),
    )


def _groups(trial: Trial, oldest: list[int]) -> tuple[TrendGroup, ...]:
    """Part the axis where the lot changes; units of a lot that come apart make two parts."""
    parts: list[TrendGroup] = []
    start = 0
    for place in range(1, len(oldest) + 1):
        lot = trial.units[oldest[start]].lot
        if place == len(oldest) or trial.units[oldest[place]].lot != lot:
            parts.append(TrendGroup(low=start - 0.5, high=place - 0.5, word=lot or ""))
            start = place
    return tuple(parts)
