"""What was derived of a unit, as evidence: its traits relative to the usual, and its signs."""

import math
from collections.abc import Mapping

import numpy as np

from app.measure.trait_values import sign_value, trait_value
from app.measure.usuals import Usuals
from app.procedure.names import NUMBERS
from app.procedure.signature_schema import Sign as SignAsked
from app.procedure.signature_schema import Signatures
from dsp import Curve, Number
from dsp.findings.evidence import Evidence, Sign, Trait
from dsp.findings.usual import Usual

_CLEAR_SPREADS = 4.0  # above the usual: a good unit comes there once in thirty thousand times
# A sign whose figure stands clear of a noise that hides it elsewhere; and one that noise hides.
_CLEAR, _UNLIKELY = 0.9999, 0.02


def evidence_of(
    *,
    numbers: Mapping[str, Number],
    curves: Mapping[str, Curve],
    signatures: Signatures,
    usuals: Usuals,
) -> Evidence:
    """Gather what speaks.

    Parameters
    ----------
    numbers, curves : mapping by name
        Of the take.
    signatures : Signatures
        What is looked at.
    usuals : Usuals
        What it is compared with.

    Returns
    -------
    Evidence; what could not be read, or has nothing to be compared with, is not in it.
    """
    traits: dict[str, Trait] = {}
    for name, asked in signatures.traits.items():
        usual = usuals.traits.get(name)
        value = trait_value(asked, figures=signatures.figures, numbers=numbers, curves=curves)
        if usual is not None and math.isfinite(value):
            deviation = value - usual.middle
            traits[name] = Trait(
                name=name,
                deviation=deviation,
                spread=usual.spread,
                said=_trait_said(name, deviation, usual=usual, unit=asked.unit),
            )
    better = {
        name for name, asked in signatures.traits.items() if any(o in traits for o in asked.unless)
    }
    signs: dict[str, Sign] = {}
    for name, one in signatures.signs.items():
        found = _sign(name, one, numbers=numbers, curves=curves, usuals=usuals)
        if found is not None:
            signs[name] = found
    kept = {
        name
        for name in signs
        if (other := signatures.signs[name].only_with) is None
        or (other in signs and signs[other].present > 1 / 2)
    }
    spoken = [name for name in traits if name not in better]
    places = [list(usuals.traits).index(name) for name in spoken]
    return Evidence(
        traits=tuple(traits[name] for name in spoken),
        correlation=usuals.correlation[np.ix_(places, places)],
        signs=tuple(sign for name, sign in signs.items() if name in kept),
    )


def _trait_said(name: str, deviation: float, *, usual: Usual, unit: str) -> str:
    side = "above" if deviation > 0 else "below"
    # In words as a ratio, where the logarithm would mislead.
    size = abs(100 * math.expm1(deviation / 100)) if unit == "%" else abs(deviation)
    return (
        f"{name} {size:.{_digits(size)}f} {unit} {side} the usual; "
        f"good units lie within ±{2 * usual.spread:.{_digits(2 * usual.spread)}f} {unit}"
    )


def _sign(
    name: str,
    asked: SignAsked,
    *,
    numbers: Mapping[str, Number],
    curves: Mapping[str, Curve],
    usuals: Usuals,
) -> Sign | None:
    value, usual = sign_value(asked, numbers=numbers, curves=curves), usuals.signs.get(name)
    number = numbers.get(asked.number or "")
    if not math.isfinite(value) or (number is not None and not number.trusted):
        return None
    present = _present(asked, value=value, usual=usual)
    if number is not None and asked.over_usual is not None and name in usuals.hidden:
        # Of good units noise hides it: here it is, or is not, clear of the noise.
        present = _UNLIKELY if number.is_bound else _CLEAR
    elif present is not None and number is not None and number.is_bound:
        # What noise hides is at most the value: absent where even that is too little.
        present = _UNLIKELY if present < 1 / 2 and asked.below is None else None
    if present is None:
        return None
    return Sign(
        name=name,
        present=present,
        said=_sign_said(asked, value=value, usual=usual),
        said_absent=asked.says_not,
    )


def _present(asked: SignAsked, *, value: float, usual: Usual | None) -> float | None:
    """Return how surely a sign is there, 0 to 1; None where there is nothing to compare with."""
    if asked.nowhere:
        return value
    if asked.above is not None:
        return _rise(value - asked.above, asked.spread)
    if asked.below is not None:
        return _rise(asked.below - value, asked.spread)
    if usual is None:
        return None
    if asked.over_usual is not None:
        clear = max(asked.over_usual, _CLEAR_SPREADS * usual.spread)
        return _rise(value - usual.middle - clear, max(asked.spread, usual.spread))
    times = asked.times_usual or 1.0
    ratio = value / (usual.middle * times)
    return float(ratio > 1 if times > 1 else ratio < 1)


def _rise(over: float, width: float) -> float:
    return 1 / (1 + math.exp(-min(max(4 * over / width, -30.0), 30.0)))


def _sign_said(asked: SignAsked, *, value: float, usual: Usual | None) -> str:
    if asked.over_usual is None or usual is None or asked.number is None:
        return asked.says
    unit = NUMBERS[asked.number].split(" ")[0]
    tail = "" if unit == "1" else f" {unit}"
    digits = _digits(max(abs(value), abs(usual.middle)))
    first, second = (f"{one:.{digits}f}".replace("-", "−") for one in (value, usual.middle))
    return f"{asked.says}: {first}{tail}, usually {second}{tail}"


def _digits(size: float) -> int:
    return 0 if size >= 9.95 else 1
