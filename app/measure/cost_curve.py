"""What wider or narrower limits would cost: escapes against false rejects over one offset."""

from collections.abc import Collection, Mapping
from dataclasses import dataclass

import numpy as np

from app.measure.rates import Rates, rates
from app.measure.rejudge import Judged, rejudge
from app.measure.thresholds import thresholds
from app.measure.trial import Trial
from app.procedure.edit_masks import EditRefusedError
from app.procedure.mask_schema import Mask
from app.procedure.names import CURVES, NUMBERS
from dsp import Bools, Floats, Ints, read_only

_STEPS = 120
_WIDEST_DB = 6.0
_DRAWS = 500  # lots drawn anew from the inspected units, for the interval of the best offset
_SURE = 0.95


@dataclass(frozen=True, slots=True, kw_only=True)
class BestOffset:
    """The offset that costs least.

    Attributes
    ----------
    offset : float
        In the curve's unit; the middle of the stretch that costs as little.
    low, high : float
        In 95 % of lots drawn anew from the inspected units, all that costs least lies between.
    cost : float
        Of 1000 units, there.
    rates : Rates
        Escapes and false rejects there.
    """

    offset: float
    low: float
    high: float
    cost: float
    rates: Rates


@dataclass(frozen=True, slots=True, eq=False, kw_only=True)
class CostCurve:
    """Both kinds of mistake over an offset that moves limits outward.

    Attributes
    ----------
    offset : (n,) array
        In ``unit``: upper limits go up and lower ones down by it; below 0 inward.
    unit : str
        Of the offset.
    moved : tuple of str
        Masks that it moves; the others stay.
    escapes, false_rejects : (n,) int array
        Bad units that would pass, good ones that would be stopped.
    passing : (n,) array
        Share of all units, inspected or not, that would conform, 0 to 1.
    cost : (n,) array
        Of 1000 units, in the unit of the costs; NaN without bad or without good units.
    bad, good : int
        Units that inspection found so.
    bad_share : float
        Share of bad units in the production that the cost is reckoned with.
    now : Rates
        At offset 0.
    best : BestOffset or None
        None without bad or without good units.
    """

    offset: Floats
    unit: str
    moved: tuple[str, ...]
    escapes: Ints
    false_rejects: Ints
    passing: Floats
    cost: Floats
    bad: int
    good: int
    bad_share: float
    now: Rates
    best: BestOffset | None


def cost_curve(
    trial: Trial,
    masks: Mapping[str, Mask],
    *,
    escape_cost: float,
    false_reject_cost: float,
    bad_share: float | None = None,
    moved: Collection[str] | None = None,
    offsets: Floats | None = None,
    judged: Judged | None = None,
) -> CostCurve:
    """Count the mistakes of limits that are moved as a whole.

    Parameters
    ----------
    trial : Trial
        Units, some of them inspected.
    masks : mapping of name to Mask
        All limits.
    escape_cost, false_reject_cost : float
        What one escape and one false reject cost, from 0, in any one unit.
    bad_share : float or None
        Share of bad units in the production, 0 to 1; None: as among the inspected ones, which is
        too many where bad units were collected on purpose.
    moved : collection of str or None
        Names of the masks to move, all in one unit; None: all that are in dB, or else all.
    offsets : (n,) array or None
        Rising, in that unit; None: 6 dB either way, or as far as anything changes.
    judged : Judged or None
        An answer for these masks that is there already.

    Returns
    -------
    CostCurve

    Raises
    ------
    EditRefusedError
        Costs or share outside, no mask to move, or masks in different units.
    """
    _check(escape_cost, false_reject_cost, bad_share)
    names = _moved(masks, moved)
    unit = _unit(masks[names[0]])
    judged = rejudge(trial, masks=masks, before=judged)
    turns = thresholds(trial, judged, moved=names)
    bad, good = trial.bad, trial.good
    at = read_only(
        _offsets(unit, turns.conforms_from[bad | good])
        if offsets is None
        else np.asarray(offsets, dtype=np.float64)
    )
    escapes = _below(turns.conforms_from[bad], at)
    stopped = good.sum() - _below(turns.fails_below[good], at)
    share = bad_share
    if share is None:
        share = bad.sum() / max(1, bad.sum() + good.sum())
    weights = (
        1000 * share * escape_cost / max(1, bad.sum()),
        1000 * (1 - share) * false_reject_cost / max(1, good.sum()),
    )
    both = bool(bad.any() and good.any())
    cost = weights[0] * escapes + weights[1] * stopped
    return CostCurve(
        offset=at,
        unit=unit,
        moved=names,
        escapes=read_only(escapes),
        false_rejects=read_only(stopped),
        passing=read_only(_below(turns.conforms_from, at) / max(1, trial.size)),
        cost=read_only(cost if both else np.full(at.shape, np.nan)),
        bad=int(bad.sum()),
        good=int(good.sum()),
        bad_share=float(share),
        now=rates(
            escapes=int((judged.conforms & bad).sum()),
            bad=int(bad.sum()),
            false_rejects=int((judged.fails & good).sum()),
            good=int(good.sum()),
        ),
        best=_best(at, escapes=escapes, stopped=stopped, counts=(bad, good), weights=weights)
        if both
        else None,
    )


def _check(escape_cost: float, false_reject_cost: float, bad_share: float | None) -> None:
    for key, cost in (("escape_cost", escape_cost), ("false_reject_cost", false_reject_cost)):
        if not 0 <= cost < np.inf:
            raise EditRefusedError(key, "outside", given=f"{cost:g}", allowed="from 0")
    if bad_share is not None and not 0 < bad_share < 1:
        raise EditRefusedError(
            "bad_share", "outside", given=f"{100 * bad_share:g}", allowed="above 0 to 100 %"
        )


def _unit(mask: Mask) -> str:
    unit = {**CURVES, **NUMBERS}[mask.quantity]
    return "dB" if unit.startswith("dB") else unit


def _moved(masks: Mapping[str, Mask], moved: Collection[str] | None) -> tuple[str, ...]:
    if moved is None:
        in_decibels = tuple(name for name, mask in masks.items() if _unit(mask) == "dB")
        names = in_decibels or tuple(masks)
    else:
        names = tuple(name for name in masks if name in moved)
    if not names:
        raise EditRefusedError("", "no mask to move")
    units = sorted({_unit(masks[name]) for name in names})
    if len(units) > 1:
        raise EditRefusedError(
            "", "one offset cannot move masks in different units", given=", ".join(units)
        )
    return names


def _offsets(unit: str, turns: Floats) -> Floats:
    if unit == "dB":
        return np.linspace(-_WIDEST_DB, _WIDEST_DB, _STEPS + 1)
    known = np.abs(turns[np.isfinite(turns)])
    far = float(np.quantile(known, _SURE)) if known.size else 1.0
    return np.linspace(-1.2 * far, 1.2 * far, _STEPS + 1)


def _below(turns: Floats, at: Floats) -> Ints:
    """Count for each offset the units that have turned by then."""
    return np.searchsorted(np.sort(turns), at, side="right").astype(np.int64)


def _best(
    at: Floats,
    *,
    escapes: Ints,
    stopped: Ints,
    counts: tuple[Bools, Bools],
    weights: tuple[float, float],
) -> BestOffset:
    bad, good = int(counts[0].sum()), int(counts[1].sum())
    cost = weights[0] * escapes + weights[1] * stopped
    first, last = _cheapest(cost[np.newaxis])
    place = int(first[0] + last[0]) // 2
    rng = np.random.default_rng(0)  # the same units always give the same interval
    passed, kept = (
        _drawn(turned, of=of, rng=rng) for turned, of in ((escapes, bad), (good - stopped, good))
    )
    first, last = _cheapest(weights[0] * passed + weights[1] * (good - kept))
    low = np.quantile(at[first], (1 - _SURE) / 2)
    high = np.quantile(at[last], (1 + _SURE) / 2)
    return BestOffset(
        offset=float(at[place]),
        low=float(low),
        high=float(high),
        cost=float(cost[place]),
        rates=rates(
            escapes=int(escapes[place]), bad=bad, false_rejects=int(stopped[place]), good=good
        ),
    )


def _drawn(turned: Ints, *, of: int, rng: np.random.Generator) -> Floats:
    """Draw as many units again with replacement, and count those that have turned."""
    steps = np.diff(turned, prepend=0, append=of)
    again = rng.multinomial(of, steps / of, size=_DRAWS)
    count: Floats = np.cumsum(again, axis=1)[:, :-1].astype(np.float64)
    return count


def _cheapest(cost: Floats) -> tuple[Ints, Ints]:
    """Return where the first stretch of each row that costs least begins, and where it ends."""
    least = cost <= cost.min(axis=1, keepdims=True) * (1 + 1e-12)
    first = np.argmax(least, axis=1)
    after = ~least & (np.arange(cost.shape[1]) > first[:, np.newaxis])
    last = np.where(after.any(axis=1), np.argmax(after, axis=1), cost.shape[1]) - 1
    return first, last
