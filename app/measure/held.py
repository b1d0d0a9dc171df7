"""What is held against a mask, unit by unit: the curves as the mask sees them."""

from dataclasses import dataclass

import numpy as np

from app.measure.rejudge import MaskTrial
from app.measure.trial import Trial
from dsp import Floats, Ints, read_only
from dsp.conformity.against import Against
from dsp.conformity.deviation import Deviation
from dsp.statistics.spread import Spread, spread
from dsp.statistics.tolerance import Interval

_MOST = 0.95  # share of the units that must be valid where the units count as known


@dataclass(frozen=True, slots=True, eq=False, kw_only=True)
class Held:
    """Curves of units, less the reference where the mask is relative, level taken out if aligned.

    Attributes
    ----------
    members : (n,) int array
        Places of these units in the trial.
    frequency_hz : (m,) array
        Hz.
    value : (n, m) array
        In the quantity's unit; where noise hides it what it is at most, where it hides the
        reference what it is at least; NaN where nothing is known.
    low_hz, high_hz : float
        Hz, where 95 % of them may be believed.
    low_reason, high_reason : str
        What ends that.
    """

    members: Ints
    frequency_hz: Floats
    value: Floats
    low_hz: float
    high_hz: float
    low_reason: str
    high_reason: str

    def of_unit(self, unit: int) -> Floats | None:
        """Return the curve of a unit by its place in the trial, (m,); None if it has none."""
        at = np.flatnonzero(self.members == unit)
        return self.value[at[0]] if at.size else None

    def spread(self) -> Spread:
        """Summarise them, where they may be believed and beyond."""
        return spread(self.value)

    def known(self, limits: Interval) -> Interval:
        """Return limits that follow from them only where they may be believed."""
        inside = (self.frequency_hz >= self.low_hz * (1 - 1e-9)) & (
            self.frequency_hz <= self.high_hz * (1 + 1e-9)
        )
        return Interval(
            lower=read_only(np.where(inside, limits.lower, np.nan)),
            upper=read_only(np.where(inside, limits.upper, np.nan)),
        )


def held(trial: Trial, result: MaskTrial) -> Held | None:
    """Return what a mask over frequency was held against; None where there is nothing.

    Curves on other frequencies than most have are left out: they can't be laid over the rest.
    """
    most = _most(trial, result)
    if most is None:
        return None
    allowed = ~trial.barred[most.curves.members]
    if not allowed.any():
        return None
    offset = result.offset[most.curves.members]
    away = _known(most.own)  # large: copied only where something is to be changed
    if offset.any():
        away = away - np.where(np.isfinite(offset), offset, 0.0)[:, np.newaxis]
    return Held(
        members=read_only(most.curves.members[allowed]),
        frequency_hz=most.curves.frequency_hz,
        value=read_only(away if allowed.all() else away[allowed]),
        low_hz=float(np.quantile(most.low_hz[allowed], _MOST)),
        high_hz=float(np.quantile(most.high_hz[allowed], 1 - _MOST)),
        low_reason=most.curves.low_reason[0],
        high_reason=most.curves.high_reason[0],
    )


def _known(own: Deviation) -> Floats:
    found = own.least
    if own.most is not own.least:
        found = np.where(np.isfinite(own.most), own.most, own.least)
    finite = np.isfinite(found)
    return found if finite.all() else np.where(finite, found, np.nan)


def typical_uncertainty(trial: Trial, result: MaskTrial) -> Floats | None:
    """Return the expanded uncertainty at each frequency of ``held``, (m,), k = 2.

    That of all units together: the root of the mean square where any unit knows it, NaN elsewhere.
    None where there is nothing.
    """
    most = _most(trial, result)
    if most is None:
        return None
    known = np.isfinite(most.own.uncertainty) & np.isfinite(most.own.measured)
    with np.errstate(invalid="ignore", divide="ignore"):
        square = np.where(known, most.own.uncertainty, 0.0) ** 2
        found: Floats = np.sqrt(square.sum(axis=0) / known.sum(axis=0))
    return found if np.isfinite(found).any() else None


def _most(trial: Trial, result: MaskTrial) -> Against | None:
    mask = result.mask
    sets = trial.relative if mask.relative_to == "reference" else trial.sets
    return max(sets.get(mask.quantity, ()), key=lambda one: one.curves.members.size, default=None)
