"""From evidence to causes: each with how sure it is, and on what that stands."""

import math
from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from dsp.arrays import Floats
from dsp.errors import DspError
from dsp.findings.evidence import Evidence
from dsp.findings.hypotheses import Hypotheses, weigh
from dsp.findings.signature import Signature

_WORTH_SAYING = 0.5  # of a natural logarithm: what a reason must add to be told
_MOST_REASONS = 4
# A trait within so many spreads is told as usual where that tells the cause by so much of a natural
# logarithm from one that would move it.
_USUAL_SPREADS, _TELLS_APART, _MOST_USUAL = 1.5, 0.5, 2


@dataclass(frozen=True, slots=True, kw_only=True)
class Cause:
    """One cause.

    Attributes
    ----------
    cause : str
        As its signatures call it.
    confidence : float
        Probability that it is true, 0 to 1.
    times_ordinary : float
        How many times as likely the evidence is with it as with a good unit.
    because : tuple of str
        What speaks for it, the strongest first.
    """

    cause: str
    confidence: float
    times_ordinary: float
    because: tuple[str, ...]


@dataclass(frozen=True, slots=True, eq=False, kw_only=True)
class Causes:
    """All causes, the likeliest first, and how likely there is none.

    Two causes may be true at once: confidences add up to 1 less ``ordinary``, or more.
    """

    ranked: tuple[Cause, ...]
    ordinary: float


def find_causes(
    evidence: Evidence,
    *,
    signatures: Sequence[Signature],
    ordinary: Signature,
    before: float,
    together: float = 0.0,
) -> Causes:
    """Weigh every signature, and every two, against the evidence (Bayes' rule).

    Parameters
    ----------
    evidence : Evidence
        Of one unit.
    signatures : sequence of Signature
        What may be wrong; not empty. Those that nothing in the evidence could show are left out.
    ordinary : Signature
        A good unit.
    before : float
        Probability, before the evidence, that the unit is ordinary; between 0 and 1.
    together : float
        Probability that of a faulty unit a second cause is true as well; 0: one at most.

    Returns
    -------
    Causes

    Raises
    ------
    DspError
        No signatures, or a probability out of its range.
    """
    if not signatures:
        raise DspError("find_causes", "no signatures")
    if not 0 < before < 1:
        raise DspError("find_causes", "before", given=before, allowed="above 0, below 1")
    if not 0 <= together < 1:
        raise DspError("find_causes", "together", given=together, allowed="0 to below 1")
    # A cause that nothing shows which was read cannot be why this unit is looked at.
    shown = [one for one in signatures if _may_show(one, evidence=evidence, ordinary=ordinary)]
    signatures = shown or signatures
    weighed = weigh(
        evidence, signatures=signatures, ordinary=ordinary, before=before, together=together
    )
    score = weighed.prior + weighed.found
    share = np.exp(score - np.logaddexp.reduce(score))
    ways: dict[str, set[int]] = {}
    for index, one in enumerate(signatures):
        ways.setdefault(one.cause, set()).add(index)
    # All that may be true of which a cause is a part, and each cause by the way that shows best.
    held = {
        cause: [place for place, parts in enumerate(weighed.parts) if own & {*parts}]
        for cause, own in ways.items()
    }
    likely = {cause: min(float(share[places].sum()), 1.0) for cause, places in held.items()}
    order = sorted(ways, key=lambda cause: -likely[cause])
    best = {c: max((1 + n for n in ways[c]), key=lambda place: float(share[place])) for c in ways}
    return Causes(
        ranked=tuple(
            Cause(
                cause=cause,
                confidence=likely[cause],
                times_ordinary=_ratio(weighed, places=held[cause]),
                because=(
                    *_unusual(evidence, gain=weighed.each[best[cause]] - weighed.each[0]),
                    *_as_usual(
                        evidence,
                        own=best[cause] - 1,
                        signatures=signatures,
                        each=weighed.each[1:],
                        share=share[1:],
                    ),
                ),
            )
            for cause in order
        ),
        ordinary=float(share[0]),
    )


def _may_show(one: Signature, *, evidence: Evidence, ordinary: Signature) -> bool:
    # By the signs that it mostly brings; one that brings none by the traits that it moves.
    known_by = {
        name for name, p in one.signs.items() if p > 1 / 2 and p != ordinary.signs.get(name)
    }
    if known_by:
        return any(sign.name in known_by for sign in evidence.signs)
    differs = one.scatter > 0 or one.astray != ordinary.astray
    return any(differs or trait.name in one.shifts for trait in evidence.traits)


def _ratio(weighed: Hypotheses, *, places: list[int]) -> float:
    # The ways of one cause, each by its weight among them; bounded, for exp has an end.
    prior = weighed.prior[places]
    by = np.logaddexp.reduce(prior - np.logaddexp.reduce(prior) + weighed.found[places])
    return math.exp(min(float(by) - float(weighed.found[0]), 500.0))


def _unusual(evidence: Evidence, *, gain: Floats) -> tuple[str, ...]:
    # What a good unit would not show.
    told = [
        *(trait.said for trait in evidence.traits),
        *(sign.said if sign.present > 1 / 2 else sign.said_absent for sign in evidence.signs),
    ]
    best = [place for place in np.argsort(-gain) if told[place]]
    return tuple(told[place] for place in best if gain[place] > _WORTH_SAYING)[:_MOST_REASONS]


def _as_usual(
    evidence: Evidence, *, own: int, signatures: Sequence[Signature], each: Floats, share: Floats
) -> tuple[str, ...]:
    # What would not be if the likeliest other cause that moves it were the one. Of a cause that
    # moves nothing there is nothing to say.
    moved = signatures[own].shifts
    if not any(trait.name in moved for trait in evidence.traits):
        return ()
    gain: dict[str, float] = {}
    for place, trait in enumerate(evidence.traits):
        rivals = [n for n, one in enumerate(signatures) if trait.name in one.shifts]
        near = abs(trait.deviation) < _USUAL_SPREADS * trait.spread
        if near and trait.said_usual and trait.name not in moved and rivals:
            rival = max(rivals, key=lambda n: float(share[n]))
            gain[trait.said_usual] = float(each[own, place] - each[rival, place])
    best = sorted(gain, key=lambda said: -gain[said])
    return tuple(said for said in best if gain[said] > _TELLS_APART)[:_MOST_USUAL]
