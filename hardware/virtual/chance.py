"""Where chance comes from, kept apart by purpose so that one does not shift another."""

from dataclasses import dataclass

import numpy as np

_DEFECTS, _NOISE, _HALL = 2, 3, 4  # streams of a seed; the lot has 1


@dataclass(frozen=True, slots=True, eq=False, kw_only=True)
class Chance:
    """For one take.

    Attributes
    ----------
    defects : int
        Seed of the unit's own rattles and clicks.
    noise : Generator
        Of room, microphone and converters.
    hall : Generator
        Of what falls in it, and of the noise at the second microphone.
    """

    defects: int
    noise: np.random.Generator
    hall: np.random.Generator


def chance_of_take(seed: int, *, take: int) -> Chance:
    """Repeat the chance of one take.

    Parameters
    ----------
    seed : int
        The chain's ``[virtual] seed``.
    take : int
        How many takes were before it.

    Returns
    -------
    Chance
    """
    return Chance(
        defects=int(np.random.SeedSequence([seed, _DEFECTS, take]).generate_state(1)[0]),
        noise=np.random.default_rng([seed, _NOISE, take]),
        hall=np.random.default_rng([seed, _HALL, take]),
    )
