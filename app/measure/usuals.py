"""What is usual among the good units that a take is compared with, trait by trait."""

import math
from collections.abc import Mapping
from dataclasses import dataclass, field

import numpy as np

from app.measure.likes import Likes
from app.measure.trait_values import number_value, sign_value, trait_value
from app.procedure.signature_schema import Signatures, Trait
from dsp import Floats
from dsp.findings.usual import Usual, usual
from dsp.findings.usual_together import usual_correlation


@dataclass(frozen=True, slots=True, eq=False, kw_only=True)
class Usuals:
    """Middle and spread of every trait and sign that any good unit told.

    ``correlation`` (n, n) is that of the traits, in their order; ``doubted`` are those that are
    read off figures which of most units may not be trusted, ``hidden`` the signs whose figure
    noise hides in most; ``shown`` are medians of the numbers that are told along, 100 ln;
    ``told`` says who these units are.
    """

    traits: Mapping[str, Usual] = field(default_factory=dict)
    correlation: Floats = field(default_factory=lambda: np.empty((0, 0)))
    signs: Mapping[str, Usual] = field(default_factory=dict)
    doubted: frozenset[str] = frozenset()
    hidden: frozenset[str] = frozenset()
    shown: Mapping[str, float] = field(default_factory=dict)
    told: str = ""


def usuals_of(likes: Likes, *, signatures: Signatures) -> Usuals:
    """Find what is usual among good units."""
    traits = {
        name: _values(trait, likes=likes, signatures=signatures, doubted=False)
        for name, trait in signatures.traits.items()
    }
    doubted = set()
    for name, trusted in traits.items():
        if 2 * np.isfinite(trusted).sum() < len(likes.units):
            asked = signatures.traits[name]
            every = _values(asked, likes=likes, signatures=signatures, doubted=True)
            if 2 * np.isfinite(trusted).sum() < np.isfinite(every).sum():
                doubted.add(name)
                traits[name] = every
    signs = {
        name: np.array(
            [sign_value(sign, numbers=like.numbers, curves=like.curves) for like in likes.units]
        )
        for name, sign in signatures.signs.items()
    }
    told = {name: values for name, values in traits.items() if np.isfinite(values).any()}
    return Usuals(
        traits={
            name: usual(values, assumed=signatures.traits[name].spread)
            for name, values in told.items()
        },
        correlation=usual_correlation(
            np.array([*told.values()]).reshape(len(told), len(likes.units)).T,
            assumed=np.array([signatures.traits[name].spread for name in told]),
        ),
        signs={
            name: usual(values, assumed=signatures.signs[name].spread)
            for name, values in signs.items()
            if np.isfinite(values).any()
        },
        doubted=frozenset(doubted),
        hidden=frozenset(
            name
            for name, sign in signatures.signs.items()
            if sign.number is not None and _hidden(likes, number=sign.number)
        ),
        shown=_shown(likes, signatures=signatures),
        told=likes.told,
    )


def _shown(likes: Likes, *, signatures: Signatures) -> dict[str, float]:
    read = {
        name: [number_value(name, numbers=like.numbers, doubted=True) for like in likes.units]
        for name in {name for trait in signatures.traits.values() for name in trait.shown}
    }
    known = {name: [one for one in values if math.isfinite(one)] for name, values in read.items()}
    return {name: 100 * float(np.median(values)) for name, values in known.items() if values}


def _values(trait: Trait, *, likes: Likes, signatures: Signatures, doubted: bool) -> Floats:
    return np.array(
        [
            trait_value(
                trait,
                figures=signatures.figures,
                numbers=like.numbers,
                curves=like.curves,
                doubted=doubted,
            )
            for like in likes.units
        ]
    )


def _hidden(likes: Likes, *, number: str) -> bool:
    read = [like.numbers[number] for like in likes.units if number in like.numbers]
    return 2 * sum(one.is_bound for one in read) > len(read)
