"""One figure a take: how far its worst figure stands above what good units show."""

import math
from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from tests.benchmarks.population.figures import Told

# A spread below this is rounding: dB, and the same for a count or a depth of modulation.
_LEAST_SPREAD = {"noise_modulation": 0.01, "impulse_count": 0.7, "sweep_impulses": 0.7}
_LEAST_DB = 0.3


@dataclass(frozen=True, slots=True, kw_only=True)
class Usual:
    """Median and spread of each figure over good units."""

    middle: dict[str, float]
    spread: dict[str, float]


def usual_figures(good: Sequence[Told], *, names: Sequence[str]) -> Usual:
    """Learn what good units of one hall show."""
    middle, spread = {}, {}
    for name in names:
        values = np.array([one.figures.get(name, math.nan) for one in good])
        middle[name] = float(np.nanmedian(values))
        least = _LEAST_SPREAD.get(name, _LEAST_DB)
        spread[name] = max(float(np.nanstd(values)), least)
    return Usual(middle=middle, spread=spread)


def score(one: Told, *, usual: Usual) -> float:
    """Return the largest deviation upward, in spreads."""
    return max(
        (one.figures.get(name, middle) - middle) / usual.spread[name]
        for name, middle in usual.middle.items()
    )
