"""What is probably wrong with the unit of a take, or that this cannot be told."""

from collections.abc import Mapping, Sequence
from dataclasses import replace

from app.measure.evidence import evidence_of
from app.measure.usuals import Usuals
from app.procedure.signature_schema import Signature as SignatureAsked
from app.procedure.signature_schema import Signatures
from app.records.take import Finding
from dsp import Curve, Number
from dsp.conformity.verdict import Verdict
from dsp.findings.find_causes import Cause, Causes, find_causes
from dsp.findings.signature import Signature

CANNOT_TELL = "cannot tell"
# How likely a unit is good before anything else is known: one that breaks a limit, one that
# does not.
_GOOD_BEFORE = {True: 0.01, False: 0.99}
# A cause is named where it is at least so likely, and so many times as likely as the next, or so
# likely that the next is not instead of it but beside it.
_NAMED, _APART, _LIKELY = 0.25, 1.2, 0.55
# Times as likely as with a good unit: less speaks for the unit; below that, nothing is unusual.
_UNUSUAL, _SPEAKS = 0.3, 1.01
_SHOWN = 0.05  # a cause that is less likely is not worth a line


def findings(
    *,
    numbers: Mapping[str, Number],
    curves: Mapping[str, Curve],
    verdict: Verdict,
    usuals: Usuals,
    signatures: Signatures,
) -> tuple[Finding, ...]:
    """Find likely causes of what is unusual in a take.

    Parameters
    ----------
    numbers, curves : mapping by name
        As derived.
    verdict : Verdict
        A unit that breaks a limit is taken to have a fault; of another, something is said only
        where a fault is likelier than none.
    usuals : Usuals
        Good units that it is compared with.
    signatures : Signatures
        How causes show.

    Returns
    -------
    tuple of Finding, the likeliest first; empty where nothing is unusual and no limit is broken.
    """
    fails = verdict is Verdict.DOES_NOT_CONFORM
    evidence = evidence_of(numbers=numbers, curves=curves, signatures=signatures, usuals=usuals)
    causes = find_causes(
        evidence,
        signatures=tuple(
            _signature(name, one, among=signatures) for name, one in signatures.causes.items()
        ),
        ordinary=_signature("ordinary", signatures.ordinary, among=signatures),
        before=_GOOD_BEFORE[fails],
        together=signatures.together,
    )
    if not fails and causes.ordinary > 1 / 2:
        return ()
    return _told(causes, usuals=usuals)


def _told(causes: Causes, *, usuals: Usuals) -> tuple[Finding, ...]:
    named = [one for one in causes.ranked if one.cause != CANNOT_TELL]
    shown = [one for one in named if one.confidence >= _SHOWN]
    found = [
        Finding(cause=one.cause, confidence=one.confidence, because=one.because) for one in shown
    ]
    if not _stands_out(causes.ranked):
        if not usuals.traits:
            alone = "there is no good unit, and no reference take, to compare with"
            return (Finding(cause=CANNOT_TELL, confidence=1.0, because=(alone,)),)
        found.insert(0, _cannot_tell(causes, shown=shown))
    because = found[0].because or ("little is unusual; of all causes it fits best",)
    compared = (f"compared with {usuals.told}",) if usuals.traits else ()
    found[0] = replace(found[0], because=(*because, *compared))
    return tuple(found)


def _stands_out(ranked: Sequence[Cause]) -> bool:
    first = ranked[0]
    if first.times_ordinary < _UNUSUAL:
        return False
    second = ranked[1].confidence if len(ranked) > 1 else 0.0
    return first.cause != CANNOT_TELL and first.confidence >= max(
        _NAMED, min(_APART * second, _LIKELY)
    )


def _cannot_tell(causes: Causes, *, shown: list[Cause]) -> Finding:
    sure = 1 - (shown[0].confidence if shown else 0.0)
    unknown = next((one for one in causes.ranked if one.cause == CANNOT_TELL), None)
    if max(one.times_ordinary for one in causes.ranked) < _SPEAKS:
        return Finding(
            cause=CANNOT_TELL, confidence=sure, because=("nothing is unusual for its like",)
        )
    if unknown is not None and unknown is causes.ranked[0]:
        because = ("what is unusual fits no known cause", *unknown.because)
        return Finding(cause=CANNOT_TELL, confidence=sure, because=because)
    likeliest = " and ".join(f"{one.cause} ({100 * one.confidence:.0f} %)" for one in shown[:2])
    return Finding(
        cause=CANNOT_TELL,
        confidence=sure,
        because=(f"nothing sets {likeliest} apart" if len(shown) > 1 else f"{likeliest} at most",),
    )


def _signature(name: str, asked: SignatureAsked, *, among: Signatures) -> Signature:
    others = asked.others
    usually = among.ordinary.signs if others is None else dict.fromkeys(among.signs, others)
    return Signature(
        name=name,
        cause=asked.cause or name,
        weight=asked.weight,
        severity=asked.severity,
        shifts=asked.shifts,
        tolerance=asked.tolerance,
        scatter=asked.scatter,
        astray=asked.astray,
        alone=asked.alone,
        signs={**usually, **asked.signs},
    )
