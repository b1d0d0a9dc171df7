"""Limits proposed from stored units: mean and deviations, a tolerance interval, or one take."""

from dataclasses import dataclass, replace
from typing import Literal

import numpy as np

from app.measure.held import Held, held
from app.measure.rejudge import MaskTrial
from app.measure.trial import Trial
from app.procedure.edit_masks import EditRefusedError, with_values
from app.procedure.mask_schema import Mask
from app.procedure.names import NUMBERS
from app.procedure.propose import propose, rounded
from dsp import Bools, DspError, Floats
from dsp.statistics.spread import spread
from dsp.statistics.tolerance import Interval, sigma_limits, tolerance_limits

Way = Literal["sigma", "tolerance", "take"]
FEWEST = {"sigma": 2, "tolerance": 2, "take": 1}


@dataclass(frozen=True, slots=True, kw_only=True)
class Wish:
    """What limits should follow from.

    Attributes
    ----------
    way : "sigma", "tolerance" or "take"
        Mean ± k deviations of the units; an interval that holds a share of all units to come;
        or one unit's take and a distance on either side.
    k : float
        For sigma.
    coverage, confidence : float
        For tolerance, 0 to 1.
    unit : int
        For take: its place in the trial.
    above, below : float
        For take, from 0, in the quantity's unit.
    series : int
        Renard series of the break points.
    span_hz : (low, high)
        Hz, where the mask shall run.
    step : float
        Limits are rounded to it, outward.
    """

    way: Way
    k: float = 4.0
    coverage: float = 0.99
    confidence: float = 0.95
    unit: int = 0
    above: float = 3.0
    below: float = 3.0
    series: int = 10
    span_hz: tuple[float, float] = (20.0, 20_000.0)
    step: float = 0.1


def proposed(trial: Trial, result: MaskTrial, *, wish: Wish) -> Mask:
    """Draw a mask anew from the units of a trial; those that inspection found bad are left out.

    Parameters
    ----------
    trial : Trial
        The units.
    result : MaskTrial
        Of the mask; tells what it is held against.
    wish : Wish
        How.

    Returns
    -------
    Mask, with the sides that it had.

    Raises
    ------
    EditRefusedError
        Too few units, figures outside, or nothing known where the mask runs.
    """
    _check(wish)
    try:
        if result.mask.quantity in NUMBERS:
            return _number(trial, result.mask, wish=wish)
        return _curve(trial, result, wish=wish)
    except DspError as error:
        raise EditRefusedError("", str(error)) from error


def counted(trial: Trial) -> int:
    """Return how many units limits would be proposed from."""
    return int(_good(trial).sum())


def _check(wish: Wish) -> None:
    for key, value, allowed, fits in (
        ("k", wish.k, "above 0 to 20", 0 < wish.k <= 20),
        ("share", 100 * wish.coverage, "50 to 99.99 %", 0.5 <= wish.coverage <= 0.9999),
        ("confidence", 100 * wish.confidence, "50 to 99.9 %", 0.5 <= wish.confidence <= 0.999),
        ("above", wish.above, "from 0", wish.above >= 0),
        ("below", wish.below, "from 0", wish.below >= 0),
    ):
        if not fits:
            raise EditRefusedError(key, "outside", given=f"{value:g}", allowed=allowed)


def _good(trial: Trial) -> Bools:
    bad = np.array([unit.mark == "bad" for unit in trial.units], dtype=np.bool_)
    return ~(bad | trial.barred)


def _sides(mask: Mask) -> Literal[1, 2]:
    return 2 if mask.upper is not None and mask.lower is not None else 1


def _curve(trial: Trial, result: MaskTrial, *, wish: Wish) -> Mask:
    those = held(trial, result)
    if those is None:
        raise EditRefusedError("", f"no unit has {result.mask.quantity.replace('_', ' ')} yet")
    if wish.way == "take":
        value = those.of_unit(wish.unit)
        if value is None:
            raise EditRefusedError("", "that unit has no such curve")
        limits = Interval(lower=value - wish.below, upper=value + wish.above)
    else:
        good = _good(trial)[those.members]
        limits = _spread_limits(_only(those, good).value, mask=result.mask, wish=wish)
    return propose(
        result.mask,
        frequency_hz=those.frequency_hz,
        limits=those.known(limits),
        series=wish.series,
        span_hz=wish.span_hz,
        step=wish.step,
    )


def _only(those: Held, which: Bools) -> Held:
    return replace(those, members=those.members[which], value=those.value[which])


def _number(trial: Trial, mask: Mask, *, wish: Wish) -> Mask:
    values = np.array(
        [
            number.value if number is not None and number.trusted else np.nan
            for number in trial.numbers.get(mask.quantity, ())
        ]
    )
    reference = trial.reference.numbers.get(mask.quantity) if trial.reference else None
    if mask.relative_to is not None and reference is not None:
        values = values - reference.value
    if wish.way == "take":
        value = values[wish.unit : wish.unit + 1]
        limits = Interval(lower=value - wish.below, upper=value + wish.above)
    else:
        known = values[_good(trial) & np.isfinite(values)]
        limits = _spread_limits(known[:, np.newaxis], mask=mask, wish=wish)
    upper, lower = float(limits.upper[0]), float(limits.lower[0])
    if not np.isfinite(upper) or not np.isfinite(lower):
        raise EditRefusedError("", "the value is not known")
    return with_values(
        mask,
        upper=None if mask.upper is None else rounded(upper, step=wish.step, up=True),
        lower=None if mask.lower is None else rounded(lower, step=wish.step, up=False),
    )


def _spread_limits(values: Floats, *, mask: Mask, wish: Wish) -> Interval:
    count, fewest = values.shape[0], FEWEST[wish.way]
    if count < fewest:
        raise EditRefusedError(
            "", "too few units that were not found bad", given=str(count), allowed=f"from {fewest}"
        )
    found = spread(values)
    if wish.way == "sigma":
        return sigma_limits(found, k=wish.k)
    return tolerance_limits(
        found, coverage=wish.coverage, confidence=wish.confidence, sides=_sides(mask)
    )
