"""Hold a curve or a number against a mask."""

import math

import numpy as np

from dsp.conformity.align import level_offset
from dsp.conformity.decide import decide
from dsp.conformity.deviation import Deviation, deviation_at, known_range
from dsp.conformity.mask import MaskLines
from dsp.conformity.places import judged_places, not_covered
from dsp.conformity.verdict import MaskResult, Verdict
from dsp.curve import Curve, ValidRange
from dsp.errors import DspError
from dsp.later import Later
from dsp.number import Number


def judge_curve(
    curve: Curve,
    *,
    mask: MaskLines,
    reference: Curve | None = None,
    align: bool = False,
    align_band_hz: tuple[float, float] | None = None,
    guard: float = 0.0,
    name: str = "curve",
) -> MaskResult:
    """Judge a curve at its own points and at the mask's, inside the mask's span.

    Parameters
    ----------
    curve : Curve
        What is judged.
    mask : MaskLines
        Limits in the curve's unit; about the reference where there is one. Single values hold
        over the whole valid range.
    reference : Curve or None
        Subtracted before judging; linear over log f between its points.
    align : bool
        Take out the mean deviation from the reference (without one: from the middle of the mask)
        first, so that an offset in level alone never fails a mask on shape.
    align_band_hz : (low, high) or None
        Hz, where that mean is taken; None: over the mask's span.
    guard : float
        Guard band as a multiple of the expanded uncertainty, from 0.
    name : str
        What to call the curve in a reason.

    Returns
    -------
    MaskResult. The margin is the smallest distance to a limit, positive inside; where a value is
    an upper bound it counts from the bound, and a bound above the upper limit, like any bound at
    a lower limit, decides nothing. A mask that reaches out of the valid range, or meets a missing
    value, is not decided, unless the rest fails clearly. A zone narrower than two guard bands
    lets nothing conform.

    Raises
    ------
    DspError
        ``guard`` below 0, or a band that does not rise.
    """
    _check_guard(guard, where="judge_curve")
    if reference is not None and reference.unit != curve.unit:
        return _undecided(f"the reference is in {reference.unit}, {name} in {curve.unit}")
    known = known_range(curve, reference=reference)
    if known.low_hz > known.high_hz:
        return _undecided(f"{name} valid nowhere ({known.low_reason})")
    gap = not_covered(mask, known=known, name=name)
    places = judged_places(curve, mask=mask, known=known)
    if not places.size:
        return _undecided(gap or f"{name} has no point inside the mask")
    offset = 0.0
    if align:
        band = _align_band(mask, known=known, align_band_hz=align_band_hz)
        if not (known.low_hz <= band.low_hz and band.high_hz <= known.high_hz):
            return _undecided(f"alignment band {_span(band)}, {name} valid {_span(known)}")
        offset = level_offset(curve, mask=mask, reference=reference, band=band)
        if math.isnan(offset):
            return _undecided(f"no level to align by from {_span(band)}")
    deviation = deviation_at(curve, reference=reference, frequency_hz=places)
    decision = decide(
        Deviation(
            least=deviation.least - offset,
            most=deviation.most - offset,
            doubt=deviation.doubt,
        ),
        upper=mask.upper_at(places),
        lower=mask.lower_at(places),
        guard=guard,
    )
    verdict = decision.verdict
    doubts = [f"{cause} at {places[index]:.5g} Hz" for cause, index in decision.doubts]
    if gap and verdict is not Verdict.DOES_NOT_CONFORM:
        verdict, doubts = Verdict.NOT_DECIDED, [gap, *doubts]
    notes = [f"aligned by {offset:+.2f} {curve.unit.split(' re ')[0]}"] if align else []
    return MaskResult(
        verdict=verdict,
        margin=decision.margin,
        nearest_hz=None if decision.nearest is None else float(places[decision.nearest]),
        reason="; ".join(doubts + notes),
    )


def judge_number(
    number: Number, *, mask: MaskLines, reference: Number | None = None, guard: float = 0.0
) -> MaskResult:
    """Judge a single value.

    Parameters
    ----------
    number : Number
        What is judged.
    mask : MaskLines
        Single limits, in the number's unit; about the reference where there is one.
    reference : Number or None
        Subtracted before judging.
    guard : float
        Guard band as a multiple of the expanded uncertainty (brought to k = 2), from 0.

    Returns
    -------
    MaskResult; not decided, with the number's own reason, where it is not to be trusted. A bound
    conforms below an upper limit, and decides nothing above it or at a lower one; nor does a
    value about a reference that is a bound itself.

    Raises
    ------
    DspError
        Limits over frequency, or ``guard`` below 0.
    """
    _check_guard(guard, where="judge_number")
    if mask.over_frequency:
        allowed = "a single upper and lower value"
        raise DspError("judge_number", "mask over frequency for a number", allowed=allowed)
    if not number.trusted:
        return _undecided(number.reason)
    if reference is not None and not reference.trusted:
        return _undecided(f"reference: {reference.reason}")
    if reference is not None and reference.unit != number.unit:
        return _undecided(f"the reference is in {reference.unit}, not in {number.unit}")
    if reference is not None and reference.is_bound:
        return _undecided("reference: hidden by noise, a bound only")
    value = number.value - (0.0 if reference is None else reference.value)
    uncertainty = _expanded(number)
    if reference is not None:
        uncertainty = math.hypot(uncertainty, _expanded(reference))
    known = math.isfinite(value)
    decision = decide(
        Deviation(
            least=np.array([value if known and not number.is_bound else -math.inf]),
            most=np.array([value if known else math.inf]),
            doubt=Later.known(np.array([uncertainty])),
        ),
        upper=mask.upper_at(np.ones(1)),
        lower=mask.lower_at(np.ones(1)),
        guard=guard,
    )
    return MaskResult(
        verdict=decision.verdict,
        margin=decision.margin,
        reason="; ".join(cause for cause, _ in decision.doubts),
    )


def _align_band(
    mask: MaskLines, *, known: ValidRange, align_band_hz: tuple[float, float] | None
) -> ValidRange:
    if align_band_hz is None:
        # What the mask asks for outside the valid range is told anyway; the rest can be aligned.
        return ValidRange(low_hz=mask.span_hz[0], high_hz=mask.span_hz[1]).within(known)
    low, high = align_band_hz
    if not 0 < low <= high:
        raise DspError("judge_curve", "alignment band does not rise", given=align_band_hz)
    return ValidRange(low_hz=low, high_hz=high)


def _span(span: ValidRange) -> str:
    return f"{span.low_hz:.5g} to {span.high_hz:.5g} Hz"


def _expanded(number: Number) -> float:
    return math.nan if number.uncertainty is None else 2 * number.uncertainty / number.k


def _check_guard(guard: float, *, where: str) -> None:
    if not 0 <= guard < math.inf:
        raise DspError(where, "guard outside", given=guard, allowed="from 0")


def _undecided(reason: str) -> MaskResult:
    return MaskResult(verdict=Verdict.NOT_DECIDED, margin=math.nan, reason=reason)
