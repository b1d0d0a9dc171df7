"""Means of groups, how sure they are, and how far two of them lie apart."""

from dataclasses import dataclass

import numpy as np

from dsp.arrays import Floats
from dsp.errors import DspError
from dsp.statistics.coverage import coverage_factor, effective_degrees_of_freedom


@dataclass(frozen=True, slots=True, kw_only=True)
class GroupMean:
    """The mean of some values.

    Attributes
    ----------
    count : int
        Values that were there.
    value : float
        Their mean, in their unit.
    deviation : float or None
        Standard deviation with ``count - 1``; None for one value.
    """

    count: int
    value: float
    deviation: float | None

    @property
    def standard_uncertainty(self) -> float | None:
        """Of the mean, from how the values scatter (JCGM 100:2008, 4.2.3); None for one value."""
        return None if self.deviation is None else self.deviation / np.sqrt(self.count)


@dataclass(frozen=True, slots=True, kw_only=True)
class Difference:
    """How far one mean lies above another, with its expanded uncertainty and coverage factor."""

    value: float
    uncertainty: float
    k: float


def group_mean(values: Floats) -> GroupMean | None:
    """Average what is finite.

    Parameters
    ----------
    values : (n,) array
        Any unit.

    Returns
    -------
    GroupMean; None where nothing is finite.
    """
    known = np.asarray(values, dtype=np.float64)
    known = known[np.isfinite(known)]
    if not known.size:
        return None
    return GroupMean(
        count=int(known.size),
        value=float(np.mean(known)),
        deviation=float(np.std(known, ddof=1)) if known.size > 1 else None,
    )


def difference_of_means(one: GroupMean, other: GroupMean) -> Difference:
    """Compare two groups whose scatter may differ.

    Parameters
    ----------
    one, other : GroupMean
        In the same unit, of at least two values each.

    Returns
    -------
    Difference, ``one`` less ``other``; about 95 %.

    Raises
    ------
    DspError
        A group of a single value.

    Notes
    -----
    Welch's approximation of the degrees of freedom (JCGM 100:2008, G.4).
    """
    parts = (one.standard_uncertainty, other.standard_uncertainty)
    if parts[0] is None or parts[1] is None:
        counts = (one.count, other.count)
        raise DspError("difference_of_means", "too few values", given=counts, allowed="from 2")
    away = one.value - other.value
    contributions = np.array(parts, dtype=np.float64)
    if not contributions.any():
        return Difference(value=away, uncertainty=0.0, k=2.0)
    freedom = effective_degrees_of_freedom(
        contributions, degrees_of_freedom=np.array([one.count - 1.0, other.count - 1.0])
    )
    k = coverage_factor(freedom, probability=0.95)
    return Difference(value=away, uncertainty=k * float(np.hypot(*contributions)), k=k)
