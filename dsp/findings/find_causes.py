"""From evidence to causes: each with how sure it is, and on what that stands."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass

import numpy as np

from dsp.arrays import Floats
from dsp.errors import DspError
from dsp.findings.evidence import Evidence
from dsp.findings.likelihood import likelihood
from dsp.findings.signature import Signature

_WORTH_SAYING = 0.5  # of a natural logarithm: what a reason must add to be told
_MOST_REASONS = 4
# A trait within so many spreads is told as usual where that tells the cause from its rival by so
# much of a natural logarithm.
_USUAL_SPREADS, _TELLS_APART, _MOST_USUAL = 1.5, 1.0, 2


@dataclass(frozen=True, slots=True, kw_only=True)
class Cause:
    """One cause.

    Attributes
    ----------
    cause : str
        As its signatures call it.
    confidence : float
        Probability, 0 to 1.
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
    """All causes, the likeliest first, and what is left for there being none.

    ``ordinary`` and the confidences together are 1.
    """

    ranked: tuple[Cause, ...]
    ordinary: float


def find_causes(
    evidence: Evidence, *, signatures: Sequence[Signature], ordinary: Signature, before: float
) -> Causes:
    """Weigh every signature against the evidence (Bayes' rule, single fault).

    Parameters
    ----------
    evidence : Evidence
        Of one unit.
    signatures : sequence of Signature
        What may be wrong; not empty.
    ordinary : Signature
        A good unit.
    before : float
        Probability, before the evidence, that the unit is ordinary; between 0 and 1.

    Returns
    -------
    Causes

    Raises
    ------
    DspError
        No signatures, or a probability that is not between 0 and 1.
    """
    if not signatures:
        raise DspError("find_causes", "no signatures")
    if not 0 < before < 1:
        raise DspError("find_causes", "before", given=before, allowed="above 0, below 1")
    weight = np.array([one.weight for one in signatures])
    prior = np.append(np.log((1 - before) * weight / weight.sum()), np.log(before))
    found = [likelihood(evidence, signature=one) for one in (*signatures, ordinary)]
    score = prior + np.array([one.whole for one in found])
    share = np.exp(score - np.logaddexp.reduce(score))
    ways: dict[str, list[int]] = {}
    for index, one in enumerate(signatures):
        ways.setdefault(one.cause, []).append(index)
    likely = {cause: float(share[places].sum()) for cause, places in ways.items()}
    order = sorted(ways, key=lambda cause: -likely[cause])
    # Each cause by the way in which it shows best.
    each = {c: found[max(ways[c], key=lambda place: float(share[place]))].each for c in order}
    return Causes(
        ranked=tuple(
            Cause(
                cause=cause,
                confidence=likely[cause],
                times_ordinary=_ratio(score - prior, prior, places=ways[cause]),
                because=(
                    *_unusual(evidence, own=each[cause], ordinary=found[-1].each),
                    *_apart(evidence, own=each[cause], rival=each[_rival(cause, order=order)]),
                ),
            )
            for cause in order
        ),
        ordinary=float(share[-1]),
    )


def _ratio(gained: Floats, prior: Floats, *, places: list[int]) -> float:
    # The ways of one cause, each by its weight among them; bounded, for exp has an end.
    own = prior[places] - np.logaddexp.reduce(prior[places])
    by = float(np.logaddexp.reduce(own + gained[places]) - gained[-1])
    return float(np.exp(min(by, 500.0)))


def _unusual(
    evidence: Evidence, *, own: Mapping[str, float], ordinary: Mapping[str, float]
) -> tuple[str, ...]:
    # What a good unit would not show.
    told = {trait.name: trait.said for trait in evidence.traits}
    told |= {
        sign.name: sign.said if sign.present > 1 / 2 else sign.said_absent
        for sign in evidence.signs
    }
    gain = {name: own[name] - ordinary[name] for name in told}
    best = sorted((name for name in gain if told[name]), key=lambda name: -gain[name])
    return tuple(told[name] for name in best if gain[name] > _WORTH_SAYING)[:_MOST_REASONS]


def _rival(cause: str, *, order: Sequence[str]) -> str:
    return next((other for other in order if other != cause), cause)


def _apart(
    evidence: Evidence, *, own: Mapping[str, float], rival: Mapping[str, float]
) -> tuple[str, ...]:
    # What would not be as usual if the next cause were the one.
    gain = {
        trait: own[trait.name] - rival[trait.name]
        for trait in evidence.traits
        if trait.said_usual and abs(trait.deviation) < _USUAL_SPREADS * trait.spread
    }
    best = sorted(gain, key=lambda trait: -gain[trait])
    return tuple(one.said_usual for one in best if gain[one] > _TELLS_APART)[:_MOST_USUAL]
