"""Control charts: what a production does by chance, and what it does for a reason.

Limits stand three deviations from the middle (ISO 7870-2:2023; NIST/SEMATECH e-Handbook of
Statistical Methods, 6.3.2 and 6.3.3).
"""

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from dsp.arrays import Bools, Floats, read_only
from dsp.errors import DspError
from dsp.statistics.chart_constants import chart_constants

ONE_SIDE, STEADY = 9, 6  # points of a run, and of a trend


@dataclass(frozen=True, slots=True, eq=False, kw_only=True)
class ControlChart:
    """One chart.

    Attributes
    ----------
    value : (n,) array
        What is drawn, in the order of time; NaN where nothing was measured.
    centre : float
        In the values' unit.
    lower, upper : (n,) array
        Limits of each point.
    deviation : float
        Of single values, estimated inside subgroups or from one value to the next; NaN for shares.
    outside : (n,) bool array
        Points beyond their limits.
    runs : (n,) bool array
        Ends of nine points in a row on one side of the centre.
    trends : (n,) bool array
        Ends of six points in a row that only rise, or only fall.
    """

    value: Floats
    centre: float
    lower: Floats
    upper: Floats
    deviation: float
    outside: Bools
    runs: Bools
    trends: Bools

    @property
    def in_control(self) -> bool:
        """Whether no rule speaks."""
        return not (self.outside.any() or self.runs.any() or self.trends.any())


@dataclass(frozen=True, slots=True, kw_only=True)
class MeanAndRange:
    """Charts of the means and of the ranges of subgroups."""

    mean: ControlChart
    range: ControlChart


def individuals_chart(values: Floats) -> ControlChart:
    """Chart single values against how far one lies from the next.

    Parameters
    ----------
    values : (n,) array
        Two or more finite ones, any unit, the oldest first.

    Returns
    -------
    ControlChart, (n,)

    Raises
    ------
    DspError
        Fewer than two values.
    """
    value = np.asarray(values, dtype=np.float64)
    known = value[np.isfinite(value)]
    if known.size < 2:
        raise DspError("individuals_chart", "too few values", given=known.size, allowed="from 2")
    deviation = float(np.mean(np.abs(np.diff(known)))) / chart_constants(2).d2
    centre = float(np.mean(known))
    return _chart(value, centre=centre, width=np.full(value.shape, 3 * deviation), sd=deviation)


def mean_range_chart(subgroups: Floats) -> MeanAndRange:
    """Chart means and ranges of subgroups of equal size.

    Parameters
    ----------
    subgroups : (groups, n) array
        Two or more groups of 2 to 50 values each, any unit, the oldest first.

    Returns
    -------
    MeanAndRange, (groups,)

    Raises
    ------
    DspError
        Too few groups, a size outside, or a value that is not finite.
    """
    values = np.asarray(subgroups, dtype=np.float64)
    if values.ndim != 2 or values.shape[0] < 2 or not np.isfinite(values).all():
        raise DspError("mean_range_chart", "not two or more whole groups", given=values.shape)
    known = chart_constants(values.shape[1])
    means, ranges = values.mean(axis=1), np.ptp(values, axis=1)
    usual = float(ranges.mean())
    everywhere = np.ones(means.shape)
    spread = usual / known.d2
    return MeanAndRange(
        mean=_chart(
            means, centre=float(means.mean()), width=known.a2 * usual * everywhere, sd=spread
        ),
        range=_limited(
            ranges,
            centre=usual,
            lower=known.lower_range * usual * everywhere,
            upper=known.upper_range * usual * everywhere,
            sd=spread,
        ),
    )


def p_chart(counts: Sequence[int], of: Sequence[int]) -> ControlChart:
    """Chart the share of each group that was counted.

    Parameters
    ----------
    counts, of : (n,) sequence of int
        Counted, and all of each group; from 0 and from 1.

    Returns
    -------
    ControlChart, (n,); limits depend on the size of the group and end at 0 and 1.

    Raises
    ------
    DspError
        No group, one that is empty, or a count outside.
    """
    some, all_of = np.asarray(counts, dtype=np.float64), np.asarray(of, dtype=np.float64)
    if not all_of.size or some.shape != all_of.shape or np.any(all_of < 1):
        raise DspError("p_chart", "no groups, or an empty one", given=list(of))
    if np.any((some < 0) | (some > all_of)):
        raise DspError("p_chart", "count outside", given=list(counts), allowed="0 to its group")
    centre = float(some.sum() / all_of.sum())
    width = 3 * np.sqrt(centre * (1 - centre) / all_of)
    return _limited(
        some / all_of,
        centre=centre,
        lower=np.maximum(centre - width, 0.0),
        upper=np.minimum(centre + width, 1.0),
        sd=float("nan"),
    )


def _chart(value: Floats, *, centre: float, width: Floats, sd: float) -> ControlChart:
    return _limited(value, centre=centre, lower=centre - width, upper=centre + width, sd=sd)


def _limited(
    value: Floats, *, centre: float, lower: Floats, upper: Floats, sd: float
) -> ControlChart:
    with np.errstate(invalid="ignore"):
        slack = 1e-12 * np.maximum(np.abs(upper), np.abs(lower))  # rounding is no reason
        outside = (value > upper + slack) | (value < lower - slack)
        side = np.sign(value - centre)
        step = np.concatenate([[0.0], np.sign(np.diff(value))])
    return ControlChart(
        value=read_only(value),
        centre=centre,
        lower=read_only(lower),
        upper=read_only(upper),
        deviation=sd,
        outside=read_only(outside),
        runs=read_only(_in_a_row(side, length=ONE_SIDE)),
        trends=read_only(_in_a_row(step, length=STEADY - 1)),  # six points are five steps
    )


def _in_a_row(sign: Floats, *, length: int) -> Bools:
    # Tells where at least ``length`` equal signs, none of them 0, end.
    found = np.zeros(sign.shape, dtype=np.bool_)
    if sign.size >= length:
        windows = np.lib.stride_tricks.sliding_window_view(sign, length)
        found[length - 1 :] = (windows == 1).all(axis=1) | (windows == -1).all(axis=1)
    return found
