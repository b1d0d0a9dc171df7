"""Limits proposed from stored units, in several ways, and how many units would pass them."""

from dataclasses import dataclass, replace

import numpy as np

from app.measure.held import Held, held
from app.measure.limit_ways import Drawn, limits_of
from app.measure.rejudge import MaskTrial, rejudge
from app.measure.risks import mask_risks
from app.measure.trial import Trial
from app.measure.wish import FEWEST, Wish, check
from app.procedure.edit_masks import EditRefusedError, with_values
from app.procedure.mask_schema import Mask
from app.procedure.names import NUMBERS
from app.procedure.propose import propose, rounded
from dsp import Bools, DspError, Floats
from dsp.statistics.proportion import Proportion, proportion
from dsp.statistics.tolerance import Interval

LEVEL_BAND_HZ = (300.0, 3000.0)  # above resonance, below break-up: where a level is told
_PARTS = 10  # each a tenth of the units, held out in turn


@dataclass(frozen=True, slots=True, kw_only=True)
class HeldOut:
    """How units fare under limits that were made without them, a tenth of them at a time.

    Attributes
    ----------
    conform, fail : Proportion
        The rest is not decided.
    """

    conform: Proportion
    fail: Proportion


@dataclass(frozen=True, slots=True, eq=False, kw_only=True)
class Proposal:
    """A mask drawn anew, and what it stands on.

    Attributes
    ----------
    mask : Mask
        With the sides that it had.
    units : int
        That it follows from.
    k : float or None
        Deviations from the middle; None where it is not told by one figure.
    held_out : HeldOut or None
        None where one take was followed, or too few units to hold some out.
    remarks : tuple of str
        What a person should know before taking it.
    """

    mask: Mask
    units: int
    k: float | None = None
    held_out: HeldOut | None = None
    remarks: tuple[str, ...] = ()


def proposed(
    trial: Trial, result: MaskTrial, *, wish: Wish, floor: Floats | None = None
) -> Proposal:
    """Draw a mask anew from the units of a trial; those that inspection found bad are left out.

    Parameters
    ----------
    trial : Trial
        The units.
    result : MaskTrial
        Of the mask; tells what it is held against.
    wish : Wish
        How.
    floor : (n,) array or None
        What a deviation is at least at each frequency of what is held against the mask; in place
        of the wish's single one.

    Returns
    -------
    Proposal

    Raises
    ------
    EditRefusedError
        Too few units, figures outside, or nothing known where the mask runs.
    """
    check(wish)
    among = ~(trial.bad | trial.barred)
    try:
        start = _afloat(trial, result, wish=wish)
        drawn = _draw(trial, start, wish=wish, floor=floor, among=among)
        tested = None
        if wish.way != "take":
            tested = _held_out(trial, start, wish=wish, floor=floor, among=among)
    except DspError as error:
        raise EditRefusedError("", str(error)) from error
    judged = rejudge(trial, masks={"": drawn.mask}).masks[""]
    risks = mask_risks(trial, judged)
    remarks = (risks.remark,) if risks.over is not None and risks.remark else ()
    return replace(drawn, held_out=tested, remarks=(*drawn.remarks, *remarks))


def counted(trial: Trial) -> int:
    """Return how many units limits would be proposed from."""
    return int((~(trial.bad | trial.barred)).sum())


def _afloat(trial: Trial, result: MaskTrial, *, wish: Wish) -> MaskTrial:
    """Return the mask's standing with its level taken out, or left in, as it is wished."""
    mask = result.mask
    if wish.floating is None or mask.quantity in NUMBERS or wish.floating == bool(mask.align):
        return result
    if not wish.floating:
        changed = mask.model_copy(update={"align": None, "align_band_hz": None})
        return rejudge(trial, masks={"": changed}).masks[""]
    if mask.relative_to is None and (mask.upper is None or mask.lower is None):
        raise EditRefusedError(
            "floating",
            "with one limit there is no middle to take the level from",
            allowed="both limits, or a mask relative to the reference",
        )
    band = wish.align_band_hz or LEVEL_BAND_HZ
    changed = mask.model_copy(update={"align": "level", "align_band_hz": band})
    found = rejudge(trial, masks={"": changed}).masks[""]
    if not np.isfinite(found.offset).any():
        raise EditRefusedError(
            "floating",
            "no unit is known over all of that band",
            given=f"{band[0]:g} to {band[1]:g} Hz",
        )
    return found


def _draw(
    trial: Trial, result: MaskTrial, *, wish: Wish, floor: Floats | None, among: Bools
) -> Proposal:
    if result.mask.quantity in NUMBERS:
        return _number(trial, result.mask, wish=wish, among=among)
    return _curve(trial, result, wish=wish, floor=floor, among=among)


def _curve(
    trial: Trial, result: MaskTrial, *, wish: Wish, floor: Floats | None, among: Bools
) -> Proposal:
    those = held(trial, result)
    if those is None:
        raise EditRefusedError("", f"no unit has {result.mask.quantity.replace('_', ' ')} yet")
    if wish.way == "take":
        value = those.of_unit(wish.unit)
        if value is None:
            raise EditRefusedError("", "that unit has no such curve")
        drawn = Drawn(limits=Interval(lower=value - wish.below, upper=value + wish.above))
        units = 1
    else:
        values = _within(those, span_hz=wish.span_hz)[among[those.members]]
        drawn = limits_of(values, mask=result.mask, wish=wish, floor=floor)
        units = values.shape[0]
    mask = propose(
        result.mask,
        frequency_hz=those.frequency_hz,
        limits=those.known(drawn.limits),
        series=wish.series,
        span_hz=wish.span_hz,
        step=wish.step,
    )
    return Proposal(mask=mask, units=units, k=drawn.k, remarks=drawn.remarks)


def _within(those: Held, *, span_hz: tuple[float, float]) -> Floats:
    """Return the curves where a mask will hold them: what lies beyond must not widen it."""
    hz = those.frequency_hz
    low, high = max(span_hz[0], those.low_hz), min(span_hz[1], those.high_hz)
    counts = (hz >= low * (1 - 1e-9)) & (hz <= high * (1 + 1e-9))
    within: Floats = np.where(counts, those.value, np.nan)
    return within


def _number(trial: Trial, mask: Mask, *, wish: Wish, among: Bools) -> Proposal:
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
        drawn = Drawn(limits=Interval(lower=value - wish.below, upper=value + wish.above))
        units = 1
    else:
        known = values[among & np.isfinite(values)]
        drawn = limits_of(known[:, np.newaxis], mask=mask, wish=wish, floor=None)
        units = known.size
    upper, lower = float(drawn.limits.upper[0]), float(drawn.limits.lower[0])
    if not np.isfinite(upper) or not np.isfinite(lower):
        raise EditRefusedError("", "the value is not known")
    new = with_values(
        mask,
        upper=None if mask.upper is None else rounded(upper, step=wish.step, up=True),
        lower=None if mask.lower is None else rounded(lower, step=wish.step, up=False),
    )
    return Proposal(mask=new, units=units, k=drawn.k, remarks=drawn.remarks)


def _held_out(
    trial: Trial, result: MaskTrial, *, wish: Wish, floor: Floats | None, among: Bools
) -> HeldOut | None:
    units = np.flatnonzero(among & np.isfinite(result.margin))
    if units.size < 2 * FEWEST[wish.way]:
        return None
    # Neighbours in time are alike: every tenth unit is held out, not ten in a row.
    parts = min(_PARTS, units.size)
    conform = fail = 0
    for part in range(parts):
        out = units[part::parts]
        rest = among.copy()
        rest[out] = False
        mask = _draw(trial, result, wish=wish, floor=floor, among=rest).mask
        judged = rejudge(trial, masks={"": mask})
        conform += int(judged.conforms[out].sum())
        fail += int(judged.fails[out].sum())
    return HeldOut(conform=proportion(conform, of=units.size), fail=proportion(fail, of=units.size))
