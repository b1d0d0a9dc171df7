"""From values of units to limits about them: one function for each way to draw a mask anew."""

from dataclasses import dataclass, replace
from typing import Literal

import numpy as np

from app.measure.rates import percent
from app.measure.wish import FEWEST, Wish
from app.procedure.edit_masks import EditRefusedError
from app.procedure.mask_schema import Mask
from dsp import Floats
from dsp.statistics.centre import Centre, centre
from dsp.statistics.order_limits import order_limits, units_needed
from dsp.statistics.tolerance import Interval, sigma_limits, tolerance_limits
from dsp.statistics.unit_rate import unit_rate_limits


@dataclass(frozen=True, slots=True, eq=False, kw_only=True)
class Drawn:
    """Limits place by place, not yet a mask.

    Attributes
    ----------
    limits : Interval, (n,)
        NaN where nothing is known.
    k : float or None
        Deviations from the middle, where one figure tells it.
    remarks : tuple of str
        What a person should know.
    """

    limits: Interval
    k: float | None = None
    remarks: tuple[str, ...] = ()


def limits_of(values: Floats, *, mask: Mask, wish: Wish, floor: Floats | None) -> Drawn:
    """Draw limits about units in any way that follows from how they spread.

    Parameters
    ----------
    values : (units, n) array
        Of units that were not found bad; NaN where nothing is known.
    mask : Mask
        Tells which sides there are.
    wish : Wish
        Any way but take.
    floor : (n,) array or None
        What a deviation is at least, in place of the wish's.

    Raises
    ------
    EditRefusedError
        Too few units.
    """
    count, fewest = values.shape[0], FEWEST[wish.way]
    if count < fewest:
        raise EditRefusedError(
            "", "too few units that were not found bad", given=str(count), allowed=f"from {fewest}"
        )
    # Where no gauge was studied there is no floor.
    least = np.nan_to_num(np.broadcast_to(wish.floor if floor is None else floor, values.shape[1:]))
    match wish.way:
        case "percentile":
            return _percentile(values, mask=mask, wish=wish, least=least)
        case "unit_rate":
            return _unit_rate(values, mask=mask, wish=wish, least=least)
        case _:
            return _deviations(values, mask=mask, wish=wish, least=least)


def _deviations(values: Floats, *, mask: Mask, wish: Wish, least: Floats) -> Drawn:
    found = centre(values, robust=wish.robust and wish.way == "sigma")
    raised = replace(found, deviation=np.maximum(found.deviation, least))
    remarks = _floored(found, least=least)
    if wish.way == "sigma":
        return Drawn(limits=sigma_limits(raised, k=wish.k), k=wish.k, remarks=remarks)
    limits = tolerance_limits(
        raised, coverage=wish.coverage, confidence=wish.confidence, sides=_sides(mask)
    )
    return Drawn(limits=limits, remarks=remarks)


def _unit_rate(values: Floats, *, mask: Mask, wish: Wish, least: Floats) -> Drawn:
    found = unit_rate_limits(
        values,
        rate=wish.rate,
        floor=least,
        robust=wish.robust,
        upper=mask.upper is not None,
        lower=mask.lower is not None,
    )
    odd = int(found.odd.sum())
    remarks = _floored(centre(values[~found.odd]), least=least)
    if odd:
        units = "unit was" if odd == 1 else "units were"
        remarks = (f"{odd} {units} set aside as too far from the rest", *remarks)
    known = int(np.isfinite(found.departures).sum())
    if known * wish.rate < 1:
        remarks = (
            *remarks,
            f"{percent(wish.rate)} of units is less than one of these {known}: read on from the "
            "others",
        )
    return Drawn(limits=found.limits, k=found.k, remarks=remarks)


def _percentile(values: Floats, *, mask: Mask, wish: Wish, least: Floats) -> Drawn:
    sides = _sides(mask)
    found = order_limits(values, coverage=wish.coverage, confidence=wish.confidence, sides=sides)
    middle = (found.limits.lower + found.limits.upper) / 2
    # Three deviations of the gauge on either side: what is nearer cannot be told from the middle.
    lower = np.fmin(found.limits.lower, middle - 3 * least)
    upper = np.fmax(found.limits.upper, middle + 3 * least)
    remarks: tuple[str, ...] = ()
    sure = found.confidence[np.isfinite(found.confidence)]
    if sure.size and sure.min() < wish.confidence - 1e-9:
        enough = units_needed(coverage=wish.coverage, confidence=wish.confidence, sides=sides)
        remarks = (
            f"they hold {percent(wish.coverage)} of all with {percent(float(sure.min()))} "
            f"confidence only; {enough} would do for {percent(wish.confidence)}",
        )
    return Drawn(limits=Interval(lower=lower, upper=upper), remarks=remarks)


def _sides(mask: Mask) -> Literal[1, 2]:
    return 2 if mask.upper is not None and mask.lower is not None else 1


def _floored(found: Centre, *, least: Floats) -> tuple[str, ...]:
    known = np.isfinite(found.deviation)
    raised = int((found.deviation[known] < least[known]).sum())
    if not raised:
        return ()
    return (
        f"at {raised} of {int(known.sum())} places units differ less than the gauge, which counts",
    )
