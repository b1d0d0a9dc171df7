"""Judge stored units against masks again, fast enough to follow a hand that drags one."""

from collections.abc import Mapping
from dataclasses import dataclass

import numpy as np

from app.measure.trial import Trial
from app.procedure.mask_schema import Mask
from dsp import Bools, Floats, read_only
from dsp.conformity.judge import judge_number
from dsp.conformity.judge_set import judge_set
from dsp.conformity.mask import MaskLines
from dsp.conformity.verdict import MaskResult, Verdict


@dataclass(frozen=True, slots=True, eq=False, kw_only=True)
class MaskTrial:
    """How each unit stands against one mask.

    Attributes
    ----------
    mask : Mask
        What they were judged by.
    fails, conforms : (units,) bool array
        Neither: not decided.
    margin : (units,) array
        Distance to the nearest limit in the quantity's unit, positive inside; NaN where not known.
    nearest_hz : (units,) array
        Hz at which it is smallest; NaN where there is none.
    offset : (units,) array
        What the level was aligned by; 0 where it was not.
    """

    mask: Mask
    fails: Bools
    conforms: Bools
    margin: Floats
    nearest_hz: Floats
    offset: Floats

    @property
    def worst_margin(self) -> float:
        """Margin that 95 % of the units keep, 5 % do not; NaN where no margin is known."""
        known = self.margin[np.isfinite(self.margin)]
        return float(np.percentile(known, 5)) if known.size else float("nan")


@dataclass(frozen=True, slots=True, eq=False, kw_only=True)
class Judged:
    """How all units stand against a set of masks.

    Attributes
    ----------
    masks : mapping of name to MaskTrial
        One by one.
    fails, conforms : (units,) bool array
        Altogether; neither: not decided.
    """

    masks: Mapping[str, MaskTrial]
    fails: Bools
    conforms: Bools

    @property
    def yielded(self) -> float:
        """Share of units that conform, 0 to 1; NaN without units."""
        return float(self.conforms.mean()) if self.conforms.size else float("nan")

    def verdict(self, unit: int) -> Verdict:
        """Return the verdict of a unit, by its place."""
        if self.fails[unit]:
            return Verdict.DOES_NOT_CONFORM
        return Verdict.CONFORMS if self.conforms[unit] else Verdict.NOT_DECIDED


def rejudge(trial: Trial, *, masks: Mapping[str, Mask], before: Judged | None = None) -> Judged:
    """Judge every unit of a trial as ``judge`` would have judged its take.

    Parameters
    ----------
    trial : Trial
        Has the quantities of all these masks.
    masks : mapping of name to Mask
        The limits.
    before : Judged or None
        An earlier answer for the same trial: masks that stand in it unchanged are not judged anew.

    Returns
    -------
    Judged
    """
    kept = before.masks if before is not None else {}
    done = {
        name: kept[name] if name in kept and kept[name].mask == mask else _one(trial, mask)
        for name, mask in masks.items()
    }
    fails = np.zeros(trial.size, dtype=np.bool_)
    conforms = np.full(trial.size, bool(done))
    for result in done.values():
        fails |= result.fails
        conforms &= result.conforms
    return Judged(masks=done, fails=read_only(fails), conforms=read_only(conforms))


def _one(trial: Trial, mask: Mask) -> MaskTrial:
    fails = np.zeros(trial.size, dtype=np.bool_)
    conforms = fails.copy()
    margin, nearest = np.full(trial.size, np.nan), np.full(trial.size, np.nan)
    offset = np.zeros(trial.size)
    lines = MaskLines(upper=mask.upper, lower=mask.lower)
    sets = trial.relative if mask.relative_to == "reference" else trial.sets
    for one in sets.get(mask.quantity, ()):
        found = judge_set(
            one,
            mask=lines,
            align=mask.align == "level",
            align_band_hz=mask.align_band_hz,
            guard=mask.guard,
        )
        ours = one.curves.members
        fails[ours], conforms[ours] = found.fails, found.conforms
        margin[ours], nearest[ours], offset[ours] = found.margin, found.nearest_hz, found.offset
    for unit, result in enumerate(_numbers(trial, mask, lines=lines)):
        fails[unit] = result.verdict is Verdict.DOES_NOT_CONFORM
        conforms[unit] = result.verdict is Verdict.CONFORMS
        margin[unit] = result.margin
    fails[trial.barred] = conforms[trial.barred] = False
    margin[trial.barred] = np.nan
    return MaskTrial(
        mask=mask,
        fails=read_only(fails),
        conforms=read_only(conforms),
        margin=read_only(margin),
        nearest_hz=read_only(nearest),
        offset=read_only(offset),
    )


def _numbers(trial: Trial, mask: Mask, *, lines: MaskLines) -> list[MaskResult]:
    relative = mask.relative_to == "reference"
    reference = trial.reference.numbers.get(mask.quantity) if trial.reference else None
    missing = MaskResult(verdict=Verdict.NOT_DECIDED, margin=float("nan"))
    return [
        missing
        if number is None or (relative and reference is None)
        else judge_number(
            number, mask=lines, reference=reference if relative else None, guard=mask.guard
        )
        for number in trial.numbers.get(mask.quantity, ())
    ]
