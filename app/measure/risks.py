"""What a mask sorts wrongly because takes are not exact, and whether the gauge is too coarse."""

from dataclasses import dataclass

import numpy as np
from scipy.special import ndtr

from app.measure.held import held, typical_uncertainty
from app.measure.rejudge import MaskTrial
from app.measure.trial import Trial
from app.procedure.names import CURVES
from dsp import Bools, Floats, read_only
from dsp.conformity.global_risk import global_risk
from dsp.conformity.mask import MaskLines
from dsp.statistics.centre import centre

_FEWEST = 2  # units with a spread
_GUARDS = np.arange(21) / 20
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
class RisksByGuard:
    """The same mask with other guard bands, (n,).

    Attributes
    ----------
    guard : (n,) array
        Times the expanded uncertainty, from 0.
    producer, consumer, decided : (n,) array
        As of the mask.
    """

    guard: Floats
    producer: Floats
    consumer: Floats
    decided: Floats

    def least_for(self, consumer: float) -> float | None:
        """Return the narrowest guard band with no more than that consumer's risk; None: none."""
        enough = np.flatnonzero(self.consumer <= consumer)
        return float(self.guard[enough[0]]) if enough.size else None


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
    by_guard : RisksByGuard or None
        With guard bands from none to the uncertainty itself.
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
    by_guard: RisksByGuard | None
    remark: str = ""


def mask_risks(trial: Trial, result: MaskTrial) -> MaskRisks:
    """Find what a mask sorts wrongly because of the uncertainty of takes.

    Parameters
    ----------
    trial : Trial
        The units.
    result : MaskTrial
        Of the mask, judged with these units.

    Returns
    -------
    MaskRisks. Each stored unit stands for one whose true distance to the limits is what was
    measured; a new take of it reads that distance plus one normal error, which is alike at all
    frequencies and counts where the distance is smallest for it. What is measured scatters more
    than what is true, so that both risks are rather too large than too small.
    """
    stand = _curve(trial, result) if result.mask.quantity in CURVES else _number(trial, result)
    if stand is None:
        return _unknown(result, remark="the uncertainty of these takes is not known")
    nearest = _nearest(stand)
    if not nearest.size:
        return _unknown(result, remark="nothing was measured where the mask runs")
    guard, over = result.mask.guard, _over(stand, guard=result.mask.guard)
    own, others = _by_guard(nearest, np.array([guard])), _by_guard(nearest, _GUARDS)
    ratio = over.tolerance_over_uncertainty
    worst = int(np.nanargmin(ratio)) if np.isfinite(ratio).any() else 0
    return MaskRisks(
        producer=float(own.producer[0]),
        consumer=float(own.consumer[0]),
        decided=float(own.decided[0]),
        over_uncertainty=float(ratio[worst]),
        worst_hz=None if np.isnan(over.frequency_hz[worst]) else float(over.frequency_hz[worst]),
        uncertainty=float(stand.uncertainty[worst]),
        guard=guard,
        over=over,
        by_guard=others,
        remark=_remark(float(ratio[worst]), guard=guard),
    )


@dataclass(frozen=True, slots=True, eq=False, kw_only=True)
class _Stand:
    """Units under their limits: values (units, n), all else (n,) but who is not found bad."""

    frequency_hz: Floats
    values: Floats
    not_bad: Bools
    uncertainty: Floats
    upper: Floats
    lower: Floats


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
        by_guard=None,
        remark=remark,
    )


def _remark(ratio: float, *, guard: float) -> str:
    if ratio < guard:
        return "the guard bands leave no room: hardly a unit can conform there"
    if ratio < COARSE:
        return (
            f"the gauge is too coarse for this limit: tolerance {ratio:.1f} times uncertainty, "
            f"{FINE:.0f} is good"
        )
    return ""


def _nearest(stand: _Stand) -> Floats:
    """Return the distance of each unit to its limits where it is smallest, in its uncertainty."""
    limited = np.isfinite(stand.upper) | np.isfinite(stand.lower)
    counts = limited & (stand.uncertainty > 0)
    values = stand.values[:, counts]
    with np.errstate(invalid="ignore"):
        room = np.fmin(stand.upper[counts] - values, values - stand.lower[counts])
        steps = np.where(np.isfinite(room), room / (stand.uncertainty[counts] / 2), np.inf)
    least = steps.min(axis=1, initial=np.inf)
    known: Floats = least[np.isfinite(least)]
    return known


def _by_guard(nearest: Floats, guards: Floats) -> RisksByGuard:
    good = nearest >= 0
    band = 2 * guards[:, np.newaxis]
    passes, fails = ndtr(nearest - band), ndtr(-nearest - band)
    return RisksByGuard(
        guard=read_only(guards),
        producer=read_only(np.mean(np.where(good, 1 - passes, 0.0), axis=1)),
        consumer=read_only(np.mean(np.where(good, 0.0, passes), axis=1)),
        decided=read_only(np.mean(passes + fails, axis=1)),
    )


def _over(stand: _Stand, *, guard: float) -> RisksOver:
    upper, lower, uncertainty = stand.upper, stand.lower, stand.uncertainty
    middle = centre(stand.values[stand.not_bad])
    width = np.where(
        np.isfinite(upper) & np.isfinite(lower),
        (upper - lower) / 2,
        np.fmin(np.abs(upper - middle.middle), np.abs(middle.middle - lower)),
    )
    sure = np.isfinite(width) & (uncertainty > 0)
    consumer, producer, ratio = (np.full(width.shape, np.nan) for _ in range(3))
    ratio[sure] = width[sure] / uncertainty[sure]
    known = sure & (middle.deviation > 0)
    if known.any():
        band = guard * uncertainty[known]
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
    return RisksOver(
        frequency_hz=read_only(stand.frequency_hz),
        consumer=read_only(consumer),
        producer=read_only(producer),
        tolerance_over_uncertainty=read_only(ratio),
    )


def _curve(trial: Trial, result: MaskTrial) -> _Stand | None:
    those, uncertainty = held(trial, result), typical_uncertainty(trial, result)
    if those is None or uncertainty is None:
        return None
    not_bad = ~trial.bad[those.members]
    if not_bad.sum() < _FEWEST:
        return None
    hz = those.frequency_hz
    lines = MaskLines(upper=result.mask.upper, lower=result.mask.lower)
    inside = (hz >= those.low_hz) & (hz <= those.high_hz) & np.isfinite(uncertainty)
    return _Stand(
        frequency_hz=hz,
        values=those.value,
        not_bad=not_bad,
        uncertainty=np.where(inside, uncertainty, 0.0),
        upper=lines.upper_at(hz),
        lower=lines.lower_at(hz),
    )


def _number(trial: Trial, result: MaskTrial) -> _Stand | None:
    mask = result.mask
    aligners = trial.held_against(mask.quantity, relative=mask.relative_to is not None)
    if not aligners:
        return None
    columns, members = aligners[0].held.own, aligners[0].held.members
    counts = np.isfinite(columns.least[0]) & ~trial.barred[members]
    sure = columns.uncertainty[0][counts & np.isfinite(columns.uncertainty[0])]
    not_bad = ~trial.bad[members[counts]]
    if not_bad.sum() < _FEWEST or not sure.size:
        return None
    lines = MaskLines(upper=mask.upper, lower=mask.lower)
    return _Stand(
        frequency_hz=np.array([np.nan]),
        values=columns.least[0][counts, np.newaxis],
        not_bad=not_bad,
        uncertainty=np.sqrt(np.mean(sure**2, keepdims=True)),
        upper=lines.upper_at(np.ones(1)),
        lower=lines.lower_at(np.ones(1)),
    )
