"""What may be true of a unit: nothing wrong, one cause, or two at once; and how likely each is."""

import itertools
from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from dsp.arrays import Floats, read_only
from dsp.findings.evidence import Evidence, Sign
from dsp.findings.likelihood import Likelihoods, sign_likelihoods, trait_likelihoods
from dsp.findings.signature import Signature

_ALIKE = 0.99  # cosine: two causes that move traits like this cannot be told apart when together


@dataclass(frozen=True, slots=True, eq=False, kw_only=True)
class Hypotheses:
    """What may be true, and how likely each is: h of them, as natural logarithms.

    Attributes
    ----------
    parts : tuple of tuples of int
        Places in the sequence of signatures: none for the good unit, which comes first, one each
        for those that follow in their order, then two each.
    prior, found : (h,) array
        Of the probability before the evidence, and of the likelihood of it.
    each : (h, n) array
        Likelihood of each trait, then of each sign, by itself.
    """

    parts: tuple[tuple[int, ...], ...]
    prior: Floats
    found: Floats
    each: Floats


def weigh(
    evidence: Evidence,
    *,
    signatures: Sequence[Signature],
    ordinary: Signature,
    before: float,
    together: float,
) -> Hypotheses:
    """List what may be true and find how likely the evidence is with each.

    Of two causes the shifts add up; a sign that both name is there unless neither shows it, one
    that only one of them names comes as often as with that one.

    Parameters
    ----------
    evidence : Evidence
        Of one unit.
    signatures : sequence of Signature
        What may be wrong; not empty.
    ordinary : Signature
        A good unit.
    before, together : float
        Probabilities, before the evidence: that a unit is ordinary, and that of a faulty one a
        second cause is true as well.

    Returns
    -------
    Hypotheses
    """
    pairs = _pairs(signatures) if together > 0 else []
    weight = np.array([one.weight for one in signatures])
    of_two = np.array([weight[a] * weight[b] for a, b in pairs])
    second = together if pairs else 0.0
    prior = np.concatenate(
        [
            [before],
            (1 - before) * (1 - second) * weight / weight.sum(),
            (1 - before) * second * of_two / max(of_two.sum(), np.finfo(float).tiny),
        ]
    )
    parts = ((), *((index,) for index in range(len(signatures))), *pairs)
    traits = _traits(evidence, parts=parts, signatures=signatures, ordinary=ordinary)
    signs = sign_likelihoods(
        evidence.signs,
        expected=_expected(evidence.signs, parts=parts, signatures=signatures, ordinary=ordinary),
    )
    return Hypotheses(
        parts=parts,
        prior=read_only(np.log(prior)),
        found=read_only(traits.whole + signs.whole),
        each=read_only(np.concatenate([traits.each, signs.each], axis=1)),
    )


def _traits(
    evidence: Evidence,
    *,
    parts: Sequence[tuple[int, ...]],
    signatures: Sequence[Signature],
    ordinary: Signature,
) -> Likelihoods:
    # Traits that no cause moves are as likely with all of these: found once.
    there = {trait.name for trait in evidence.traits}
    moves = [
        one.scatter > 0 or one.astray != ordinary.astray or bool(there & one.shifts.keys())
        for one in signatures
    ]
    kinds = [tuple(index for index in each if moves[index]) for each in parts]
    once = list(dict.fromkeys(kinds))
    found = trait_likelihoods(
        evidence,
        hypotheses=[[signatures[index] for index in kind] or [ordinary] for kind in once],
    )
    places = [once.index(kind) for kind in kinds]
    return Likelihoods(whole=found.whole[places], each=found.each[places])


def _expected(
    signs: Sequence[Sign],
    *,
    parts: Sequence[tuple[int, ...]],
    signatures: Sequence[Signature],
    ordinary: Signature,
) -> Floats:
    # (hypotheses, signs); what no cause is told to show says nothing.
    own, usual = (
        np.array([[one.signs.get(sign.name, 0.5) for sign in signs] for one in some])
        for some in (signatures, [ordinary])
    )
    named = own != usual
    # One more row: of a part that there is not.
    nobody = np.zeros((1, len(signs)), dtype=np.bool_)
    named = np.concatenate([named, nobody])
    absent = np.where(named, 1 - np.concatenate([own, usual]), 1.0)
    places = np.array([(*each, -1, -1)[:2] for each in parts])
    any_named = named[places].any(axis=1)
    return np.where(any_named, 1 - absent[places].prod(axis=1), usual)


def _pairs(signatures: Sequence[Signature]) -> list[tuple[int, int]]:
    return [
        (a, b)
        for (a, one), (b, other) in itertools.combinations(enumerate(signatures), 2)
        if not (one.alone or other.alone) and one.cause != other.cause and not _alike(one, other)
    ]


def _alike(one: Signature, other: Signature) -> bool:
    if not one.shifts.keys() & other.shifts.keys():
        return False
    names = sorted(one.shifts.keys() | other.shifts.keys())
    a, b = (np.array([each.shifts.get(name, 0.0) for name in names]) for each in (one, other))
    size = float(np.linalg.norm(a) * np.linalg.norm(b))
    return size > 0 and abs(float(a @ b)) > _ALIKE * size
