"""Hold what was derived against the masks of a procedure."""

from collections.abc import Mapping
from dataclasses import dataclass

from app.measure.derived import Derived
from app.procedure.schema import Mask, Procedure
from app.records.take import Take
from dsp.conformity.judge import judge_curve, judge_number
from dsp.conformity.mask import MaskLines
from dsp.conformity.verdict import MaskResult, Verdict, overall


@dataclass(frozen=True, slots=True, kw_only=True)
class Judgement:
    """How a take stands against its masks, one by one and altogether."""

    masks: Mapping[str, MaskResult]
    verdict: Verdict


def judge(derived: Derived, *, procedure: Procedure, reference: Take | None) -> Judgement:
    """Judge every mask of a procedure.

    Parameters
    ----------
    derived : Derived
        What was read out of the capture.
    procedure : Procedure
        Whose masks apply.
    reference : Take or None
        What relative masks compare with.

    Returns
    -------
    Judgement; a figure that must not be trusted leaves its mask, and so the verdict, undecided.
    """
    masks = {
        name: _undecided(derived.untrusted)
        if derived.untrusted
        else _judge_one(mask, derived=derived, reference=reference)
        for name, mask in procedure.masks.items()
    }
    return Judgement(masks=masks, verdict=overall(result.verdict for result in masks.values()))


def _judge_one(mask: Mask, *, derived: Derived, reference: Take | None) -> MaskResult:
    lines = MaskLines(upper=mask.upper, lower=mask.lower)
    relative = mask.relative_to == "reference"
    if relative and reference is None:
        return _undecided("no reference take")
    if (curve := derived.curves.get(mask.quantity)) is not None:
        twin = reference.curves.get(mask.quantity) if relative and reference else None
        if relative and twin is None:
            return _undecided(f"the reference take has no {mask.quantity}")
        return judge_curve(
            curve,
            mask=lines,
            reference=twin,
            align=mask.align == "level",
            align_band_hz=mask.align_band_hz,
            guard=mask.guard,
            name=mask.quantity,
        )
    if (number := derived.numbers.get(mask.quantity)) is not None:
        other = reference.numbers.get(mask.quantity) if relative and reference else None
        if relative and other is None:
            return _undecided(f"the reference take has no {mask.quantity}")
        return judge_number(number, mask=lines, reference=other, guard=mask.guard)
    return _undecided(f"{mask.quantity} was not measured")


def _undecided(reason: str) -> MaskResult:
    return MaskResult(verdict=Verdict.NOT_DECIDED, margin=float("nan"), reason=reason)
