"""What is usual among the good units that a take is compared with, trait by trait."""

from collections.abc import Mapping
from dataclasses import dataclass, field

import numpy as np

from app.measure.likes import Likes
from app.measure.trait_values import sign_value, trait_value
from app.procedure.signature_schema import Signatures
from dsp import Floats
from dsp.findings.usual import Usual, usual
from dsp.findings.usual_together import usual_correlation


@dataclass(frozen=True, slots=True, eq=False, kw_only=True)
class Usuals:
    """Middle and spread of every trait and sign that any good unit told.

    ``correlation`` (n, n) is that of the traits, in their order; ``hidden`` are the signs whose
    figure noise hides in most of the units; ``told`` says who these are.
    """

    traits: Mapping[str, Usual] = field(default_factory=dict)
    correlation: Floats = field(default_factory=lambda: np.empty((0, 0)))
    signs: Mapping[str, Usual] = field(default_factory=dict)
    hidden: frozenset[str] = frozenset()
    told: str = ""


def usuals_of(likes: Likes, *, signatures: Signatures) -> Usuals:
    """Find what is usual among good units."""
    traits = {
        name: np.array(
            [
                trait_value(
                    trait, figures=signatures.figures, numbers=like.numbers, curves=like.curves
                )
                for like in likes.units
            ]
        )
        for name, trait in signatures.traits.items()
    }
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
        hidden=frozenset(
            name
            for name, sign in signatures.signs.items()
            if sign.number is not None and _hidden(likes, number=sign.number)
        ),
        told=likes.told,
    )


def _hidden(likes: Likes, *, number: str) -> bool:
    read = [like.numbers[number] for like in likes.units if number in like.numbers]
    return 2 * sum(one.is_bound for one in read) > len(read)
