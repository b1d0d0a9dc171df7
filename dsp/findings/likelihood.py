"""How likely the evidence is if a cause is true."""

import math
from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from dsp.arrays import Floats
from dsp.findings.evidence import Evidence, Sign, Trait
from dsp.findings.signature import LEAST, MOST, Signature

_SEVERITIES = 61
_ASTRAY_SPREADS = 30.0  # a trait that has gone astray lies anywhere up to so many off


@dataclass(frozen=True, slots=True, eq=False, kw_only=True)
class Likelihood:
    """How likely the evidence is with one cause, as natural logarithms.

    Attributes
    ----------
    whole : float
        Of everything together, traits per spread of each.
    each : dict of str to float
        Of each trait or sign by itself, at the severity that is the likeliest.
    """

    whole: float
    each: dict[str, float]


@dataclass(frozen=True, slots=True, kw_only=True)
class _Odds:
    """Natural logarithms: of a trait to be as expected, and its density where it is not."""

    straight: float
    stray: float

    @classmethod
    def of(cls, signature: Signature) -> "_Odds":
        return cls(
            straight=math.log1p(-signature.astray),
            stray=math.log(signature.astray / (2 * _ASTRAY_SPREADS)),
        )


def likelihood(evidence: Evidence, *, signature: Signature) -> Likelihood:
    """Find how likely the evidence is if a cause is true.

    Traits are normal together about severity times shift, with the correlation that good units
    have (the exponent is half the squared Mahalanobis distance); any one of them may have gone
    astray. The severity is not known and is averaged over, evenly in its logarithm.

    Parameters
    ----------
    evidence : Evidence
        Of one unit.
    signature : Signature
        The cause that is held against it.

    Returns
    -------
    Likelihood
    """
    each = {sign.name: _of_sign(sign, signature=signature) for sign in evidence.signs}
    whole = sum(each.values())
    if evidence.traits:
        expected = _expected(evidence.traits, signature=signature)
        off = np.array([trait.deviation / trait.spread for trait in evidence.traits]) - expected
        apart = signature.scatter**2 + (signature.tolerance * expected) ** 2
        odds = _Odds.of(signature)
        together = _together(off, apart=apart, correlation=evidence.correlation, odds=odds)
        best = int(np.argmax(together))
        whole += float(np.logaddexp.reduce(together)) - math.log(together.size)
        for trait, value in zip(evidence.traits, _alone(off, 1 + apart)[best], strict=True):
            each[trait.name] = float(np.logaddexp(odds.straight + value, odds.stray))
    return Likelihood(whole=whole, each=each)


def _expected(traits: Sequence[Trait], *, signature: Signature) -> Floats:
    # (severities, traits), in spreads.
    shift = np.array([signature.shifts.get(trait.name, 0.0) / trait.spread for trait in traits])
    severity = np.geomspace(*signature.severity, _SEVERITIES) if shift.any() else np.zeros(1)
    return np.asarray(severity[:, np.newaxis] * shift)


def _together(off: Floats, *, apart: Floats, correlation: Floats, odds: _Odds) -> Floats:
    # (severities,) of the density of all, or of all but one and that one anywhere.
    count = off.shape[1]
    variance = correlation + apart[:, :, np.newaxis] * np.eye(count)
    inverse = np.linalg.inv(variance)
    pulled = np.einsum("sij,sj->si", inverse, off)
    normal = -0.5 * (
        np.sum(off * pulled, axis=1)
        + np.linalg.slogdet(variance).logabsdet
        + count * math.log(2 * math.pi)
    )
    # The density of all over that of all but trait i: what i has, given the others.
    within = 1 / np.diagonal(inverse, axis1=1, axis2=2)
    without = normal[:, np.newaxis] - _alone(within * pulled, within)
    every = normal + count * odds.straight
    return np.logaddexp.reduce(
        np.column_stack([every, without + odds.stray + (count - 1) * odds.straight]), axis=1
    )


def _alone(off: Floats, variance: Floats) -> Floats:
    return -0.5 * (off**2 / variance + np.log(2 * math.pi * variance))


def _of_sign(sign: Sign, *, signature: Signature) -> float:
    expected = signature.signs.get(sign.name)
    if expected is None:
        expected = 0.5
    likely = min(max(expected, LEAST), MOST)
    return math.log(sign.present * likely + (1 - sign.present) * (1 - likely))
