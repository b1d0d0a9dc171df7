"""Hold the curves of many units against one mask, fast enough to follow a hand that drags it."""

from dataclasses import dataclass

import numpy as np

from dsp.arrays import Bools, Floats, read_only
from dsp.conformity.align import middle
from dsp.conformity.curve_set import CurveSet
from dsp.conformity.decide import guard_width
from dsp.conformity.deviation import Deviation, deviation_at
from dsp.conformity.mask import MaskLines
from dsp.conformity.places import SAME
from dsp.curve import Curve
from dsp.errors import DspError


@dataclass(frozen=True, slots=True, eq=False, kw_only=True)
class Against:
    """A set, and how far it lies from a reference; what doesn't change while a mask does.

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


@dataclass(frozen=True, slots=True, eq=False, kw_only=True)
class SetResult:
    """How each unit of a set stands against one mask; the rule is that of ``judge_curve``.

    Attributes
    ----------
    fails, conforms : (units,) bool array
        Neither: not decided.
    margin : (units,) array
        Distance to the nearest limit in the curves' unit, positive inside; NaN where not known.
    nearest_hz : (units,) array
        Hz at which the margin is smallest; NaN where there is none.
    offset : (units,) array
        What was taken out of the level before judging; 0 where nothing is aligned.
    """

    fails: Bools
    conforms: Bools
    margin: Floats
    nearest_hz: Floats
    offset: Floats


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
    own = deviation_at(curves, reference=reference, frequency_hz=curves.frequency_hz)
    return Against(
        curves=curves,
        reference=reference,
        own=own,
        low_hz=read_only(low),
        high_hz=read_only(high),
    )


def judge_set(
    these: Against,
    *,
    mask: MaskLines,
    align: bool = False,
    align_band_hz: tuple[float, float] | None = None,
    guard: float = 0.0,
) -> SetResult:
    """Judge every unit of a set as ``judge_curve`` judges one.

    Parameters
    ----------
    these : Against
        The set.
    mask, align, align_band_hz, guard
        As in ``judge_curve``.

    Returns
    -------
    SetResult, (units,)

    Raises
    ------
    DspError
        ``guard`` below 0, or a band that does not rise.
    """
    if not 0 <= guard < np.inf:
        raise DspError("judge_set", "guard outside", given=guard, allowed="from 0")
    if align_band_hz is not None and not 0 < align_band_hz[0] <= align_band_hz[1]:
        raise DspError("judge_set", "alignment band does not rise", given=align_band_hz)
    low, high = _slack(these)
    places, deviation = _where(these, mask=mask)
    counts = (places >= low) & (places <= high)
    offset = np.zeros(low.shape[0])
    if align:
        offset = _offsets(these, mask=mask, band=align_band_hz)
    # Shifting the limits is shifting the curves, and cheaper.
    upper = mask.upper_at(places) + offset[:, np.newaxis]
    lower = mask.lower_at(places) + offset[:, np.newaxis]
    with np.errstate(invalid="ignore"):  # no limit less no value: fmin takes the other side
        surely = np.fmin(upper - deviation.most, deviation.least - lower)
        at_best = np.fmin(upper - deviation.least, deviation.most - lower)
    width = guard_width(deviation.uncertainty, guard=guard) if guard else 0.0
    failing = counts & (at_best < 0) & (at_best <= -width)
    passing = ~counts | (surely >= width)
    gap = _gap(mask, low=low[:, 0], high=high[:, 0])
    judged = counts.any(axis=1) & ~np.isnan(offset)
    fails = failing.any(axis=1) & judged
    distance = np.where(
        fails[:, np.newaxis],
        np.where(failing, at_best, np.inf),
        np.where(counts & np.isfinite(surely), surely, np.inf),
    )
    nearest = np.argmin(distance, axis=1)
    margin = distance[np.arange(nearest.size), nearest]
    known = judged & np.isfinite(margin)
    return SetResult(
        fails=read_only(fails),
        conforms=read_only(passing.all(axis=1) & judged & ~gap & ~fails),
        margin=read_only(np.where(known, margin, np.nan)),
        nearest_hz=read_only(np.where(known, places[nearest], np.nan)),
        offset=read_only(offset),
    )


def _where(these: Against, *, mask: MaskLines) -> tuple[Floats, Deviation]:
    # Returns the places to judge at, the mask's and the set's, with the deviations there.
    own_hz, breaks = these.curves.frequency_hz, mask.break_hz
    limited = np.isfinite(mask.upper_at(own_hz)) | np.isfinite(mask.lower_at(own_hz))
    if breaks.size:
        # The mask's own points come first: at its ends a neighbour 1e-12 away has no limit.
        after = np.clip(np.searchsorted(breaks, own_hz), 0, breaks.size - 1)
        before = np.maximum(after - 1, 0)
        gap = np.minimum(np.abs(breaks[after] / own_hz - 1), np.abs(breaks[before] / own_hz - 1))
        limited &= gap > SAME
    more = deviation_at(these.curves, reference=these.reference, frequency_hz=breaks)

    def joined(own: Floats, extra: Floats) -> Floats:
        both: Floats = np.concatenate([own[:, limited], extra], axis=1)
        return both

    return np.concatenate([own_hz[limited], breaks]), Deviation(
        least=joined(these.own.least, more.least),
        most=joined(these.own.most, more.most),
        uncertainty=joined(these.own.uncertainty, more.uncertainty),
    )


def _slack(these: Against) -> tuple[Floats, Floats]:
    # As ValidRange.holds: a typed 20 Hz and a computed 20 Hz are the same end.
    return these.low_hz[:, np.newaxis] * (1 - SAME), these.high_hz[:, np.newaxis] * (1 + SAME)


def _gap(mask: MaskLines, *, low: Floats, high: Floats) -> Bools:
    # Tells which units the mask asks more of than they can show.
    breaks = mask.break_hz
    if not breaks.size:
        return np.zeros(low.shape, dtype=np.bool_)
    gap: Bools = (breaks[0] < low) | (breaks[-1] > high)
    return gap


def _offsets(these: Against, *, mask: MaskLines, band: tuple[float, float] | None) -> Floats:
    # Returns the mean deviation of each unit over its band; NaN where there is none.
    low, high = these.low_hz, these.high_hz
    if band is None:
        low, high = np.maximum(low, mask.span_hz[0]), np.minimum(high, mask.span_hz[1])
        possible = np.ones(low.shape, dtype=np.bool_)
    else:
        possible = (low <= band[0]) & (band[1] <= high)
        low, high = np.full(low.shape, band[0]), np.full(high.shape, band[1])
    away = these.own.measured
    if these.reference is None:
        away = away - middle(mask, frequency_hz=these.curves.frequency_hz)
    offsets = np.full(low.shape, np.nan)
    # Units with the same band share their weights; there are few different bands.
    for ends in {(float(a), float(b)) for a, b in zip(low, high, strict=True)}:
        mine = possible & (low == ends[0]) & (high == ends[1])
        offsets[mine] = _mean(these, away=away[mine], ends=ends)
    return offsets


def _mean(these: Against, *, away: Floats, ends: tuple[float, float]) -> Floats:
    hz = these.curves.frequency_hz
    inside = (hz >= ends[0] * (1 - SAME)) & (hz <= ends[1] * (1 + SAME))
    there = away[:, inside]
    known = np.isfinite(there)
    if inside.sum() < 2:
        return np.where(known.any(axis=1), np.where(known, there, 0.0).sum(axis=1), np.nan)
    weight = np.where(known, np.gradient(np.log(hz[inside])), 0.0)
    with np.errstate(invalid="ignore"):
        mean: Floats = (np.where(known, there, 0.0) * weight).sum(axis=1) / weight.sum(axis=1)
    return mean
