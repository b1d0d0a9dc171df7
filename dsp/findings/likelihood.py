"""How likely the evidence is if a cause, or two together, are true."""

import math
from collections.abc import Sequence
from dataclasses import dataclass
from functools import reduce

import numpy as np

from dsp.arrays import Floats, read_only
from dsp.findings.evidence import Evidence, Sign, Trait
from dsp.findings.signature import LEAST, MOST, Signature

# Severities that are tried of one cause, and of either one of two, evenly in their logarithm: with
# steps of twice its width a normal density is summed to 1.5 %.
_SEVERITIES, _OF_TWO = 31, 9
_ASTRAY_SPREADS = 30.0  # a trait that has gone astray lies anywhere up to so many off


@dataclass(frozen=True, slots=True, eq=False, kw_only=True)
class Likelihoods:
    """How likely evidence is with each of h hypotheses, as natural logarithms.

    Attributes
    ----------
    whole : (h,) array
        Of everything together, traits per spread of each.
    each : (h, n) array
        Of each trait or sign by itself, at the severity that is the likeliest.
    """

    whole: Floats
    each: Floats

    def __post_init__(self) -> None:
        object.__setattr__(self, "whole", read_only(self.whole))
        object.__setattr__(self, "each", read_only(self.each))


def trait_likelihoods(
    evidence: Evidence, *, hypotheses: Sequence[Sequence[Signature]]
) -> Likelihoods:
    """Find how likely traits are with hypotheses, each of one cause or more that are true at once.

    Traits are normal together about the sum of severity times shift, with the correlation that
    good units have (the exponent is half the squared Mahalanobis distance); any one of them may
    have gone astray. Severities are not known and averaged over, evenly in their logarithms.

    Parameters
    ----------
    evidence : Evidence
        Of one unit, n traits.
    hypotheses : sequence of sequences of Signature
        h of them, none of them empty.

    Returns
    -------
    Likelihoods, (h,) and (h, n).
    """
    count = len(evidence.traits)
    if not count:
        return Likelihoods(whole=np.zeros(len(hypotheses)), each=np.zeros((len(hypotheses), 0)))
    # All severities of all hypotheses in one: what is small is quick when there is much of it.
    tried = _tried(evidence.traits, hypotheses=hypotheses)
    sizes = np.array([one.expected.shape[0] for one in tried])
    starts = np.cumsum(sizes) - sizes
    expected = np.concatenate([one.expected for one in tried])
    apart = np.concatenate([one.apart for one in tried])
    astray = np.repeat([max(one.astray for one in parts) for parts in hypotheses], sizes)
    off = np.array([trait.deviation / trait.spread for trait in evidence.traits]) - expected
    straight, stray = np.log1p(-astray), np.log(astray / (2 * _ASTRAY_SPREADS))
    whole = _together(
        off, apart=apart, correlation=evidence.correlation, straight=straight, stray=stray
    )
    best = [
        start + int(np.argmax(whole[start : start + n]))
        for start, n in zip(starts, sizes, strict=True)
    ]
    alone = straight[best, np.newaxis] + _alone(off[best], 1 + apart[best])
    return Likelihoods(
        whole=np.logaddexp.reduceat(whole, starts) - np.log(sizes),
        each=np.logaddexp(alone, stray[best, np.newaxis]),
    )


def sign_likelihoods(signs: Sequence[Sign], *, expected: Floats) -> Likelihoods:
    """Find how likely signs are with hypotheses.

    Parameters
    ----------
    signs : sequence of Sign
        Of one unit, n of them.
    expected : (h, n) array
        Probability of each sign with each of h hypotheses.

    Returns
    -------
    Likelihoods, (h,) and (h, n).
    """
    present = np.array([sign.present for sign in signs])
    likely = np.clip(expected, LEAST, MOST)
    each = np.log(present * likely + (1 - present) * (1 - likely))
    return Likelihoods(whole=each.sum(axis=1), each=each)


@dataclass(frozen=True, slots=True, eq=False, kw_only=True)
class _Tried:
    """Every severity of a hypothesis: where it expects n traits, and the variance about that.

    (severities, n) each, in spreads; the variance is without that of good units.
    """

    expected: Floats
    apart: Floats


def _tried(traits: Sequence[Trait], *, hypotheses: Sequence[Sequence[Signature]]) -> list[_Tried]:
    spread = np.array([trait.spread for trait in traits])
    known: dict[tuple[str, int], _Tried] = {}
    out = []
    for parts in hypotheses:
        count = _SEVERITIES if len(parts) == 1 else _OF_TWO
        for one in parts:
            if (one.name, count) not in known:
                shift = [one.shifts.get(trait.name, 0.0) for trait in traits] / spread
                known[one.name, count] = _tried_alone(one, shift=shift, count=count)
        out.append(reduce(_beside, [known[one.name, count] for one in parts]))
    return out


def _tried_alone(one: Signature, *, shift: Floats, count: int) -> _Tried:
    low, high = one.severity
    middles = (np.arange(count) + 0.5) / count
    severity = low * (high / low) ** middles if shift.any() else np.zeros(1)
    moved = np.asarray(severity[:, np.newaxis] * shift)
    return _Tried(expected=moved, apart=one.scatter**2 + (one.tolerance * moved) ** 2)


def _beside(one: _Tried, other: _Tried) -> _Tried:
    # Every severity of the one with every one of the other.
    expected, apart = (
        (a[:, np.newaxis] + b).reshape(-1, a.shape[1])
        for a, b in ((one.expected, other.expected), (one.apart, other.apart))
    )
    return _Tried(expected=expected, apart=apart)


def _together(
    off: Floats, *, apart: Floats, correlation: Floats, straight: Floats, stray: Floats
) -> Floats:
    # (rows,) of the density of all, or of all but one and that one anywhere.
    count = off.shape[1]
    variance = correlation + apart[:, :, np.newaxis] * np.eye(count)
    inverse = np.linalg.inv(variance)
    pulled = np.einsum("sij,sj->si", inverse, off)
    normal = -0.5 * (
        np.sum(off * pulled, axis=1)
        - np.linalg.slogdet(inverse).logabsdet
        + count * math.log(2 * math.pi)
    )
    # The density of all over that of all but trait i: what i has, given the others.
    within = 1 / np.diagonal(inverse, axis1=1, axis2=2)
    without = normal[:, np.newaxis] - _alone(within * pulled, within)
    one_astray = (stray + (count - 1) * straight)[:, np.newaxis] + without
    either = np.column_stack([normal + count * straight, one_astray])
    return np.asarray(np.logaddexp.reduce(either, axis=1))


def _alone(off: Floats, variance: Floats) -> Floats:
    return -0.5 * (off**2 / variance + np.log(2 * math.pi * variance))
