"""What speaks against readings on known resistors before anything is believed."""

from dataclasses import dataclass
from itertools import pairwise

import numpy as np

from dsp.calibration.budget import WrittenBudget
from dsp.calibration.calibration import Check
from dsp.calibration.resistor_readings import Readings
from dsp.calibration.sentence import beside, minus, small
from dsp.calibration.sentence import found as told

_MOST_NOISE = 0.002  # of a ratio in the band, a tone
_MOST_PHASE_DEG = 30.0  # in the band: skew of the channels and inductance leave far less
_FARTHEST_OFF = 0.2  # of the stated sense resistor
_LEAST_APART = 1.5  # larger over smaller
_MOST_LEAD_OHM = 1.0


@dataclass(frozen=True, slots=True, kw_only=True)
class Found:
    """What the solution gave.

    Attributes
    ----------
    scale_ohm : float
        ohm.
    lead_ohm : float or None
        ohm; None where it was not told apart.
    lead_uncertainty_ohm : float
        ohm, expanded.
    """

    scale_ohm: float
    lead_ohm: float | None
    lead_uncertainty_ohm: float


def reading_checks(taken: Readings, *, found: Found) -> tuple[Check, ...]:
    """Look at the readings and at what they gave.

    Parameters
    ----------
    taken : Readings
        All that was read.
    found : Found
        The solution.

    Returns
    -------
    tuple of Check
    """
    checks = [_clipped(taken), _signal(taken), _phase(taken)]
    if len({*taken.ohm}) > 1:
        checks += [_order(taken), _apart(taken)]
    checks.append(_near(taken, found=found))
    if found.lead_ohm is not None:
        checks.append(_lead(found.lead_ohm, uncertainty_ohm=found.lead_uncertainty_ohm))
    return tuple(checks)


def check_resistor_check(taken: Readings, *, read_ohm: float, budget: WrittenBudget) -> Check:
    """Hold what was read on the check resistor against its value.

    Parameters
    ----------
    taken : Readings
        With a check resistor.
    read_ohm : float
        ohm, by the whole model.
    budget : WrittenBudget
        ohm, of the difference.

    Returns
    -------
    Check; passed where the difference lies within its expanded uncertainty (a normalized error of
    at most 1, ISO 13528, 9.7).
    """
    ohm = taken.check.resistor.ohm if taken.check else float("nan")
    difference, allowed = read_ohm - ohm, 100 * budget.expanded / ohm
    return Check(
        name="check resistor",
        passed=bool(abs(difference) <= budget.expanded),
        sentence=f"check resistor of {ohm:g} ohm: read {read_ohm:.4g} ohm, off by "
        f"{beside(100 * difference / ohm, scale=allowed)} %, allowed ±{allowed:.2g} %",
    )


def _clipped(taken: Readings) -> Check:
    said = "no input clipped"
    if taken.clipped_ohm:
        said = f"an input clipped on {taken.clipped_ohm[0]:g} ohm: play it softer"
    return Check(name="clipped", passed=not taken.clipped_ohm, sentence=said)


def _signal(taken: Readings) -> Check:
    band = taken.in_band
    worst = max(
        (float(np.max(noise[band])), ohm)
        for noise, ohm in zip(taken.noise, taken.ohm, strict=True)
        if ohm > 0
    )
    finite = all(np.all(np.isfinite(ratio[band])) for ratio in taken.ratios)
    return Check(
        name="signal",
        passed=finite and worst[0] <= _MOST_NOISE,
        sentence=told(
            f"noise on {worst[1]:g} ohm: {small(100 * worst[0], least=0.001)} % of a tone, "
            f"allowed {100 * _MOST_NOISE:g} %",
            passed=finite and worst[0] <= _MOST_NOISE,
            otherwise="play louder, or use a larger sense resistor",
        ),
    )


def _phase(taken: Readings) -> Check:
    band = taken.in_band
    turned = [
        (float(np.degrees(np.angle(np.mean(ratio[band])))), ohm)
        for ratio, ohm in zip(taken.ratios, taken.ohm, strict=True)
        if ohm > 0
    ]
    worst, ohm = max(turned, key=lambda one: abs(one[0]))
    passed = abs(worst) <= _MOST_PHASE_DEG
    why = (
        "a channel is wired backwards"
        if abs(worst) > 90
        else "not a resistor, or channels that are not simultaneous"
    )
    return Check(
        name="phase",
        passed=passed,
        sentence=told(
            f"phase of {ohm:g} ohm: {minus(f'{worst:.1f}')}°, allowed ±{_MOST_PHASE_DEG:g}°",
            passed=passed,
            otherwise=why,
        ),
    )


def _order(taken: Readings) -> Check:
    band = taken.in_band
    level = [float(np.mean(np.abs(ratio[band]))) for ratio in taken.ratios]
    pairs = sorted(zip(taken.ohm, level, strict=True))
    wrong = [
        (small, large)
        for small, large in pairwise(pairs)
        if large[0] > small[0] and large[1] <= small[1]
    ]
    said = (
        f"{wrong[0][1][0]:g} ohm read smaller than {wrong[0][0][0]:g} ohm: resistors exchanged"
        if wrong
        else "a larger resistor reads larger"
    )
    return Check(name="order", passed=not wrong, sentence=said)


def _apart(taken: Readings) -> Check:
    values = sorted(ohm for ohm in {*taken.ohm} if ohm > 0)
    ratio = values[-1] / values[0]
    # A short beside one resistor is as far apart as can be.
    passed = ratio >= _LEAST_APART or 0.0 in taken.ohm
    return Check(
        name="apart",
        passed=passed,
        sentence=told(
            f"largest over smallest resistor: {ratio:.3g}, allowed from {_LEAST_APART:g}",
            passed=passed,
            otherwise="resistors alike tell nothing apart",
        ),
    )


def _near(taken: Readings, *, found: Found) -> Check:
    stated = taken.bench.stated_ohm
    off = found.scale_ohm / stated - 1
    return Check(
        name="sense resistor",
        passed=bool(abs(off) <= _FARTHEST_OFF),
        sentence=told(
            f"sense resistor {minus(f'{found.scale_ohm:.4g}')} ohm, stated {stated:g} ohm: "
            f"{minus(f'{100 * off:+.1f}')} %, allowed ±{100 * _FARTHEST_OFF:g} %",
            passed=bool(abs(off) <= _FARTHEST_OFF),
            otherwise="another resistor than typed, or another gain",
        ),
    )


def _lead(lead_ohm: float, *, uncertainty_ohm: float) -> Check:
    passed = -uncertainty_ohm <= lead_ohm <= _MOST_LEAD_OHM
    return Check(
        name="leads",
        passed=bool(passed),
        sentence=told(
            f"lead resistance {beside(lead_ohm, scale=uncertainty_ohm)} ohm, allowed "
            f"−{uncertainty_ohm:.2g} to {_MOST_LEAD_OHM:g} ohm",
            passed=bool(passed),
            otherwise="a resistor is not what it says, or a contact is bad",
        ),
    )
