"""How likely the evidence is if a cause is true."""

import math

import numpy as np

from dsp.arrays import Floats
from dsp.findings.evidence import Evidence, Sign
from dsp.findings.signature import LEAST, MOST, Signature

_SEVERITIES = 61
# This part of all readings goes astray for reasons of their own, and may then lie anywhere up to so
# many spreads off: one odd figure must not overrule all others.
_ASTRAY, _ASTRAY_SPREADS = 0.001, 30.0


def likelihoods(evidence: Evidence, *, signature: Signature) -> dict[str, float]:
    """Find what each piece of evidence adds to the logarithm of a signature's likelihood.

    Traits are taken as independent, each normal about severity times shift; the severity is not
    known and is averaged over, evenly in its logarithm. Their sum is therefore shared out by
    what each adds at the most likely severity.

    Parameters
    ----------
    evidence : Evidence
        Of one unit.
    signature : Signature
        The cause that is held against it.

    Returns
    -------
    dict of str to float, natural logarithms by name of trait or sign; they add up.
    """
    found = {sign.name: _of_sign(sign, signature=signature) for sign in evidence.signs}
    if evidence.traits:
        each = _of_traits(evidence, signature=signature)  # (severities, traits)
        whole = each.sum(axis=1)
        best = int(np.argmax(whole))
        averaged = float(np.logaddexp.reduce(whole)) - math.log(whole.size)
        share = (averaged - float(whole[best])) / len(evidence.traits)
        for trait, value in zip(evidence.traits, each[best], strict=True):
            found[trait.name] = float(value) + share
    return found


def _of_traits(evidence: Evidence, *, signature: Signature) -> Floats:
    moves = any(trait.name in signature.shifts for trait in evidence.traits)
    severity = np.geomspace(*signature.severity, _SEVERITIES) if moves else np.zeros(1)
    columns = []
    for trait in evidence.traits:
        expected = severity * signature.shifts.get(trait.name, 0.0)
        own = trait.spread**2 * (1 + signature.scatter**2)
        variance = own + (signature.tolerance * expected) ** 2
        off = (trait.deviation - expected) ** 2 / variance
        normal = -0.5 * (off + np.log(2 * np.pi * variance / trait.spread**2))
        anywhere = -math.log(2 * _ASTRAY_SPREADS)
        columns.append(np.logaddexp(math.log(1 - _ASTRAY) + normal, math.log(_ASTRAY) + anywhere))
    return np.stack(columns, axis=1)


def _of_sign(sign: Sign, *, signature: Signature) -> float:
    expected = signature.signs.get(sign.name)
    if expected is None:
        expected = 0.5
    likely = min(max(expected, LEAST), MOST)
    return math.log(sign.present * likely + (1 - sign.present) * (1 - likely))
