"""What is usual among the good units that a take is compared with, trait by trait."""

from collections.abc import Callable, Mapping
from dataclasses import dataclass, field

import numpy as np

from app.measure.likes import Like, Likes
from app.measure.trait_values import sign_value, trait_value
from app.procedure.signature_schema import Signatures
from dsp.findings.usual import Usual, usual


@dataclass(frozen=True, slots=True, eq=False, kw_only=True)
class Usuals:
    """Middle and spread of every trait and sign that any good unit told.

    ``hidden`` are the signs whose figure noise hides in most of them; ``told`` says who they are.
    """

    traits: Mapping[str, Usual] = field(default_factory=dict)
    signs: Mapping[str, Usual] = field(default_factory=dict)
    hidden: frozenset[str] = frozenset()
    told: str = ""


def usuals_of(likes: Likes, *, signatures: Signatures) -> Usuals:
    """Find what is usual among good units."""
    traits = {
        name: (
            lambda like, trait=trait: trait_value(trait, numbers=like.numbers, curves=like.curves),
            trait.spread,
        )
        for name, trait in signatures.traits.items()
    }
    signs = {
        name: (
            lambda like, sign=sign: sign_value(sign, numbers=like.numbers, curves=like.curves),
            sign.spread,
        )
        for name, sign in signatures.signs.items()
    }
    return Usuals(
        traits=_each(likes, traits),
        signs=_each(likes, signs),
        hidden=frozenset(
            name
            for name, sign in signatures.signs.items()
            if sign.number is not None and _hidden(likes, number=sign.number)
        ),
        told=likes.told,
    )


def _each(
    likes: Likes, read: Mapping[str, tuple[Callable[[Like], float], float]]
) -> dict[str, Usual]:
    found = {}
    for name, (value, spread) in read.items():
        values = np.array([value(like) for like in likes.units])
        if np.isfinite(values).any():
            found[name] = usual(values, assumed=spread)
    return found


def _hidden(likes: Likes, *, number: str) -> bool:
    read = [like.numbers[number] for like in likes.units if number in like.numbers]
    return 2 * sum(one.is_bound for one in read) > len(read)
