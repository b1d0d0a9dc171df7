"""How units stand against limits at the usual and k spreads: the k at which one just conforms."""

import math
from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from tests.benchmarks.population.heard import Heard

# A spread below this is rounding: dB, and the same for a count or a depth of modulation.
_LEAST_SPREAD = {"noise_modulation": 0.01, "impulse_count": 0.7}
_LEAST_DB = 0.3


@dataclass(frozen=True, slots=True, kw_only=True)
class Usual:
    """Mean and standard deviation of each figure over good units; bounds count as they stand."""

    middle: dict[str, float]
    spread: dict[str, float]


def usual_figures(good: Sequence[Heard]) -> Usual:
    """Learn what good units of one hall show."""
    middle, spread = {}, {}
    for name in {name for one in good for name in one.figures}:
        values = np.array([one.figures[name].value for one in good if name in one.figures])
        middle[name] = float(np.mean(values))
        spread[name] = max(float(np.std(values)), _LEAST_SPREAD.get(name, _LEAST_DB))
    return Usual(middle=middle, spread=spread)


def score(one: Heard, *, usual: Usual) -> float:
    """Return the largest k of which a limit at the usual + k spreads is broken.

    A bound breaks no limit, as in a verdict; where nothing else is told, the usual is what is left.
    """
    return max(
        (
            (shown.value - usual.middle[name]) / usual.spread[name]
            for name, shown in one.figures.items()
            if name in usual.middle and not shown.is_bound
        ),
        default=-math.inf,
    )
