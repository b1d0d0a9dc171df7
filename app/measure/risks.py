"""What a mask sorts wrongly because takes are not exact, and whether the gauge is too coarse."""

from dataclasses import dataclass

import numpy as np
from scipy.special import ndtr

from app.measure.held import held, typical_uncertainty
from app.measure.rejudge import MaskTrial
from app.measure.trial import Trial
from app.procedure.names import CURVES
from dsp import Floats, read_only
from dsp.conformity.global_risk import global_risk
from dsp.conformity.mask import MaskLines
from dsp.statistics.centre import centre

FINE, COARSE = 10.0, 3.0  # tolerance over uncertainty: a line wants the first, and not the second


@dataclass(frozen=True, slots=True, eq=False, kw_only=True)
class RisksOver:
    """Risks place by place, (n,), by JCGM 106:2012, clause 9.

    Attributes
    ----------
    frequency_hz : (n,) array
        Hz; one place, NaN, for a number.
    consumer, producer : (n,) array
        Shares of all units, 0 to 1; NaN where it can't be told.
    tolerance_over_uncertainty : (n,) array
        Half the distance between the limits (with one limit: its distance from the units' middle)
        over the expanded uncertainty.
    """

    frequency_hz: Floats
    consumer: Floats
    producer: Floats
    tolerance_over_uncertainty: Floats


@dataclass(frozen=True, slots=True, eq=False, kw_only=True)
class MaskRisks:
    """What to expect of one mask when the stored units, or units like them, come again.

    Attributes
    ----------
    producer : float
        Share of all units that are good and would not be passed, 0 to 1; NaN where it can't be
        told.
    consumer : float
        Share of all units that are bad and would be passed.
    decided : float
        Share of all units that would be decided either way.
    over_uncertainty : float
        Tolerance over uncertainty where it is smallest.
    worst_hz : float or None
        Where that is; None for a number.
    uncertainty : float
        Expanded, k = 2, there, in the unit of the mask's quantity.
    guard : float
        Times the uncertainty, as the mask has it.
    over : RisksOver or None
        Place by place.
    remark : str
        What is too coarse, or what is missing, in words; empty where all is well.
    """

    producer: float
    consumer: float
    decided: float
    over_uncertainty: float
    worst_hz: float | None
    uncertainty: float
    guard: float
    over: RisksOver | None
    remark: str = ""


def mask_risks(trial: Trial, result: MaskTrial) -> MaskRisks:
    """Find what a mask sorts wrongly because of the uncertainty of takes.

    Parameters
    ----------
    trial : Trial
        The units.
    result : MaskTrial
        Of the mask, with the margins of these units.

    Returns
    -------
    MaskRisks. Each stored unit stands for one whose true margin is what was measured; a new take
    of it reads that margin plus one normal error, the uncertainty where the margin is smallest,
    alike at all frequencies. What is measured scatters more than what is true, so that both risks
    are rather too large than too small.
    """
    over = _over(trial, result)
    if over is None:
        return _unknown(result, remark="the uncertainty of these takes is not known")
    places, risks = over
    half = _half_at(places, result.nearest_hz)
    known = np.isfinite(result.margin) & np.isfinite(half) & (half > 0)
    if not known.any():
        return _unknown(result, remark="no margin is known")
    margin, u = result.margin[known], half[known] / 2
    guard = result.mask.guard
    passes = ndtr(margin / u - 2 * guard)
    fails = ndtr(-margin / u - 2 * guard)
    good = margin >= 0
    ratio = risks.tolerance_over_uncertainty
    worst = int(np.nanargmin(ratio)) if np.isfinite(ratio).any() else 0
    is_curve = result.mask.quantity in CURVES
    return MaskRisks(
        producer=float(np.mean(np.where(good, 1 - passes, 0.0))),
        consumer=float(np.mean(np.where(good, 0.0, passes))),
        decided=float(np.mean(passes + fails)),
        over_uncertainty=float(ratio[worst]),
        worst_hz=float(risks.frequency_hz[worst]) if is_curve else None,
        uncertainty=float(places.uncertainty[worst]),
        guard=guard,
        over=risks,
        remark=_remark(float(ratio[worst]), guard=guard),
    )


@dataclass(frozen=True, slots=True, eq=False, kw_only=True)
class _Places:
    frequency_hz: Floats
    uncertainty: Floats


def _unknown(result: MaskTrial, *, remark: str) -> MaskRisks:
    nan = float("nan")
    return MaskRisks(
        producer=nan,
        consumer=nan,
        decided=float(np.mean(result.fails | result.conforms)) if result.fails.size else nan,
        over_uncertainty=nan,
        worst_hz=None,
        uncertainty=nan,
        guard=result.mask.guard,
        over=None,
        remark=remark,
    )


def _remark(ratio: float, *, guard: float) -> str:
    if ratio < guard:
        return "the guard bands leave no room: hardly a unit can conform there"
    if ratio < COARSE:
        return (
            f"the gauge is too coarse for this limit: the tolerance is only {ratio:.1f} times the "
            f"uncertainty, {COARSE:.0f} is little and {FINE:.0f} is good"
        )
    return ""


def _over(trial: Trial, result: MaskTrial) -> tuple[_Places, RisksOver] | None:
    found = _curve(trial, result) if result.mask.quantity in CURVES else _number(trial, result)
    if found is None:
        return None
    hz, values, uncertainty = found
    lines = MaskLines(upper=result.mask.upper, lower=result.mask.lower)
    at = np.where(np.isfinite(hz), hz, 1.0)
    upper, lower = lines.upper_at(at), lines.lower_at(at)
    middle = centre(values)
    width = np.where(
        np.isfinite(upper) & np.isfinite(lower),
        (upper - lower) / 2,
        np.fmin(np.abs(upper - middle.middle), np.abs(middle.middle - lower)),
    )
    sure = np.isfinite(width) & (uncertainty > 0)
    consumer, producer, ratio = (np.full(hz.shape, np.nan) for _ in range(3))
    ratio[sure] = width[sure] / uncertainty[sure]
    known = sure & (middle.deviation > 0)
    if known.any():
        band = result.mask.guard * uncertainty[known]
        risk = global_risk(
            middle=middle.middle[known],
            deviation=middle.deviation[known],
            standard_uncertainty=uncertainty[known] / 2,
            upper=upper[known],
            lower=lower[known],
            accept_upper=upper[known] - band,
            accept_lower=lower[known] + band,
        )
        consumer[known], producer[known] = risk.consumer, risk.producer
    return _Places(frequency_hz=hz, uncertainty=uncertainty), RisksOver(
        frequency_hz=read_only(hz),
        consumer=read_only(consumer),
        producer=read_only(producer),
        tolerance_over_uncertainty=read_only(ratio),
    )


def _curve(trial: Trial, result: MaskTrial) -> tuple[Floats, Floats, Floats] | None:
    those, uncertainty = held(trial, result), typical_uncertainty(trial, result)
    if those is None or uncertainty is None:
        return None
    good = np.array([trial.units[int(one)].mark != "bad" for one in those.members])
    if good.sum() < 2:
        return None
    inside = (those.frequency_hz >= those.low_hz) & (those.frequency_hz <= those.high_hz)
    return (
        those.frequency_hz,
        those.value[good],
        np.where(inside & np.isfinite(uncertainty), uncertainty, 0.0),
    )


def _number(trial: Trial, result: MaskTrial) -> tuple[Floats, Floats, Floats] | None:
    name = result.mask.quantity
    known = [
        number
        for unit, number in zip(trial.units, trial.numbers.get(name, ()), strict=True)
        if number is not None and number.trusted and unit.mark != "bad"
    ]
    sure = [one.uncertainty for one in known if one.uncertainty is not None]
    if len(known) < 2 or not sure:
        return None
    reference = trial.reference.numbers.get(name) if trial.reference else None
    less = reference.value if result.mask.relative_to and reference is not None else 0.0
    values = np.array([[one.value - less] for one in known])
    return np.array([np.nan]), values, np.array([float(np.median(sure))])


def _half_at(places: _Places, hz: Floats) -> Floats:
    """Return the uncertainty at the frequency of each unit's margin."""
    if places.frequency_hz.size == 1:
        return np.full(hz.shape, float(places.uncertainty[0]))
    known = places.uncertainty > 0
    if not known.any():
        return np.full(hz.shape, np.nan)
    read: Floats = np.interp(
        np.log(np.where(np.isfinite(hz), hz, 1.0)),
        np.log(places.frequency_hz[known]),
        places.uncertainty[known],
    )
    return read
