"""The decision rule: from distances to the limits, and how sure they are, to a verdict."""

import math
from dataclasses import dataclass

import numpy as np

from dsp.arrays import Bools, Floats
from dsp.conformity.deviation import Deviation
from dsp.conformity.verdict import Verdict


@dataclass(frozen=True, slots=True, kw_only=True)
class Decision:
    """What the decision rule says of a row of places.

    Attributes
    ----------
    verdict : Verdict
        Of the worst place.
    margin : float
        In the quantity's unit; NaN where no distance is known.
    nearest : int or None
        Index of the place that ``margin`` was found at.
    doubts : tuple of (str, int)
        Why a place was left undecided, with the index of the first such place.
    """

    verdict: Verdict
    margin: float
    nearest: int | None
    doubts: tuple[tuple[str, int], ...] = ()


def decide(deviation: Deviation, *, upper: Floats, lower: Floats, guard: float) -> Decision:
    """Compare with the limits, place by place; the worst place decides.

    Parameters
    ----------
    deviation : Deviation, (n,)
        What is held against the limits.
    upper, lower : (n,) array
        Limits, same unit; infinite where there is none.
    guard : float
        Width w of the guard band, times the expanded uncertainty (k = 2), from 0.

    Returns
    -------
    Decision: does not conform where any place lies outside by w or more whatever is not known of
    it, conforms where every place surely lies inside by w or more, otherwise not decided. With
    w = 0 a value on the limit conforms.

    Notes
    -----
    Acceptance and rejection by guard bands on both sides of the limit, JCGM 106:2012, 8.3.
    """
    with np.errstate(invalid="ignore"):  # infinite limit less infinite value: no distance
        surely = np.fmin(_room(upper, deviation.most), _room(deviation.least, lower))
        at_best = np.fmin(_room(upper, deviation.least), _room(deviation.most, lower))
    width = guard_width(deviation.uncertainty, guard=guard)
    fails = (at_best < 0) & (at_best <= -width)
    passes = surely >= width
    if fails.any():
        nearest = int(np.argmin(np.where(fails, at_best, np.inf)))
        return Decision(
            verdict=Verdict.DOES_NOT_CONFORM, margin=float(at_best[nearest]), nearest=nearest
        )
    finite = np.isfinite(surely)
    nearest = int(np.argmin(np.where(finite, surely, np.inf))) if finite.any() else -1
    return Decision(
        verdict=Verdict.CONFORMS if passes.all() and passes.size else Verdict.NOT_DECIDED,
        margin=float(surely[nearest]) if finite.any() else math.nan,
        nearest=nearest if finite.any() else None,
        doubts=_doubts(~passes, deviation=deviation, zone=upper - lower, width=width),
    )


def _room(above: Floats, below: Floats) -> Floats:
    # No limit leaves infinite room, also to a value that is not known.
    room: Floats = np.where(np.isposinf(above) & np.isposinf(below), np.inf, above - below)
    return np.where(np.isneginf(above) & np.isneginf(below), np.inf, room)


def guard_width(uncertainty: Floats, *, guard: float) -> Floats:
    """Tell how wide the guard band is.

    Parameters
    ----------
    uncertainty : (...) array
        Expanded, k = 2; NaN where not known.
    guard : float
        Times the uncertainty, from 0.

    Returns
    -------
    (...) array, in the unit of the uncertainty; infinite where that is not known.
    """
    if guard == 0:
        return np.zeros(uncertainty.shape)
    # A guard band of unknown width decides nothing.
    width: Floats = guard * np.where(np.isnan(uncertainty), np.inf, uncertainty)
    return width


def _doubts(
    doubtful: Bools, *, deviation: Deviation, zone: Floats, width: Floats
) -> tuple[tuple[str, int], ...]:
    unknown = np.isneginf(deviation.least) & np.isposinf(deviation.most)
    hidden = (np.isneginf(deviation.least) | np.isposinf(deviation.most)) & ~unknown
    unsure = np.isinf(width) & ~unknown & ~hidden
    narrow = (zone < 2 * width) & ~unsure & ~unknown & ~hidden
    near = ~(unknown | hidden | unsure | narrow)
    causes = (
        ("no value", unknown),
        ("hidden by noise", hidden),
        ("uncertainty not known", unsure),
        ("mask narrower than two guard bands", narrow),
        ("within the guard band", near),
    )
    return tuple(
        (cause, int(np.argmax(doubtful & where)))
        for cause, where in causes
        if (doubtful & where).any()
    )
