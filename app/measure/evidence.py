"""What was derived of a unit, as evidence: its traits relative to the usual, and its signs."""

import math
from collections.abc import Mapping

import numpy as np

from app.measure.seen_sign import seen_sign
from app.measure.trait_values import number_value, trait_value
from app.measure.usuals import Usuals
from app.procedure.names import NUMBERS
from app.procedure.signature_schema import Signatures
from app.procedure.signature_schema import Trait as TraitAsked
from dsp import Curve, Number
from dsp.findings.evidence import Evidence, Sign, Trait
from dsp.findings.usual import Usual

# Only periods of a tone, laid under one another, tell what does not repeat.
_TOLD_BY_TONES = "random_peak_db"
_DB = 0.2 / math.log(10)  # of 100 times a natural logarithm


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
    signs = _signs(numbers=numbers, curves=curves, signatures=signatures, usuals=usuals)
    alone = any(signatures.signs[one.name].alone and one.present > 1 / 2 for one in signs)
    traits: dict[str, Trait] = {}
    for name, asked in () if alone else signatures.traits.items():
        usual = usuals.traits.get(name)
        value = trait_value(
            asked,
            figures=signatures.figures,
            numbers=numbers,
            curves=curves,
            doubted=name in usuals.doubted,
        )
        if usual is not None and math.isfinite(value):
            deviation = value - usual.middle
            traits[name] = Trait(
                name=name,
                deviation=deviation,
                spread=usual.spread,
                said=_said(name, deviation, usual=usual, unit=asked.unit)
                + _shown(asked, numbers=numbers, usuals=usuals),
                said_usual=f"{name} as usual",
            )
    better = {
        name for name, asked in signatures.traits.items() if any(o in traits for o in asked.unless)
    }
    spoken = [name for name in traits if name not in better]
    places = [list(usuals.traits).index(name) for name in spoken]
    return Evidence(
        traits=tuple(traits[name] for name in spoken),
        correlation=usuals.correlation[np.ix_(places, places)],
        signs=signs,
    )


def _signs(
    *,
    numbers: Mapping[str, Number],
    curves: Mapping[str, Curve],
    signatures: Signatures,
    usuals: Usuals,
) -> tuple[Sign, ...]:
    signs: dict[str, Sign] = {}
    heard_by = "tones" if _TOLD_BY_TONES in numbers else "sweep"
    for name, asked in signatures.signs.items():
        if asked.told_by not in {None, heard_by}:
            continue
        found = seen_sign(name, asked, numbers=numbers, curves=curves, usuals=usuals)
        if found is not None:
            signs[name] = found
    return tuple(
        sign
        for name, sign in signs.items()
        if (other := signatures.signs[name].only_with) is None
        or (other in signs and signs[other].present > 1 / 2)
    )


def _said(name: str, deviation: float, *, usual: Usual, unit: str) -> str:
    return f"{name} {_away(deviation, unit=unit)} ({abs(deviation) / usual.spread:.1f} spreads)"


def _shown(asked: TraitAsked, *, numbers: Mapping[str, Number], usuals: Usuals) -> str:
    told = []
    for name, word in asked.shown.items():
        away = 100 * number_value(name, numbers=numbers, doubted=True)
        away -= usuals.shown.get(name, math.nan)
        if math.isfinite(away):
            is_level = NUMBERS[name].startswith("dB")
            size = f"{_DB * abs(away):.1f} dB" if is_level else _size(away, unit="%")
            told.append(f"{word} {'+' if away > 0 else '−'}{size}")
    return f"; {', '.join(told)}" if told else ""


def _away(deviation: float, *, unit: str) -> str:
    return f"{_size(deviation, unit=unit)} {'above' if deviation > 0 else 'below'} the usual"


def _size(deviation: float, *, unit: str) -> str:
    # In words as a ratio, where the logarithm would mislead.
    size = abs(100 * math.expm1(deviation / 100)) if unit == "%" else abs(deviation)
    return f"{size:.{0 if size >= 9.95 else 1}f} {unit}"
