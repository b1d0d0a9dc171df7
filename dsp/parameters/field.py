"""The circuits that were tried on the same data, weighed against each other.

BIC = misfit / c + k ln n, with n residuals and k parameters (A. E. Raftery, Sociol. Methodol. 25
(1995) 111). It is chosen before AICc because the question is which parts the data force, not which
curve predicts best: with 400 points AICc takes a needless part in one fit of six, and each one
widens the intervals of all others. AICc stands beside it. c is what the richest candidate leaves
per degree of freedom, 1 at least: where no circuit is quite right, noise alone would ask for ever
more parts (K. P. Burnham, D. R. Anderson, Model Selection, 2nd ed. 2002, 2.5).
"""

import math
from dataclasses import dataclass, replace

from dsp.parameters.circuit import CREEP_LOSS, Circuit
from dsp.parameters.solve import Solved


@dataclass(frozen=True, slots=True, eq=False, kw_only=True)
class Field:
    """All that were tried so far.

    Attributes
    ----------
    count : float
        How many residuals with noise of their own the data give.
    tried : tuple of Solved
        In the order of trying.
    possible : tuple of bool
        Which of them may be chosen.
    """

    count: float
    tried: tuple[Solved, ...] = ()
    possible: tuple[bool, ...] = ()

    def plus(self, one: Solved) -> "Field":
        """Let one more in.

        Parameters
        ----------
        one : Solved
            For the same data.

        Returns
        -------
        Field
        """
        possible = (*self.possible, _possible(one))
        return replace(self, tried=(*self.tried, one), possible=possible)

    @property
    def per_freedom(self) -> list[float]:
        """Sum of squares of each over residuals less parameters."""
        return [one.misfit / max(self.count - one.vector.size, 1) for one in self.tried]

    @property
    def bic(self) -> list[float]:
        """The criterion of each; infinite for one that is not possible."""
        return self._criteria([one.vector.size * math.log(self.count) for one in self.tried])

    @property
    def aicc(self) -> list[float]:
        """The other criterion of each, likewise."""
        sizes = [one.vector.size for one in self.tried]
        return self._criteria(
            [2 * k + 2 * k * (k + 1) / max(self.count - k - 1, 1) for k in sizes],
        )

    @property
    def best(self) -> Solved:
        """The one with the lowest criterion."""
        bic = self.bic
        return self.tried[bic.index(min(bic))]

    def to_beat(self, circuit: Circuit) -> float:
        """Tell what sum of squares would make a circuit the best.

        Parameters
        ----------
        circuit : Circuit
            Not tried yet.

        Returns
        -------
        float
        """
        more = len(circuit.names) - self.best.vector.size
        return self.best.misfit - more * math.log(self.count) * self._scale

    @property
    def _scale(self) -> float:
        return max(1.0, min(self.per_freedom))

    def _criteria(self, price: list[float]) -> list[float]:
        scale = self._scale
        return [
            one.misfit / scale + paid if possible else math.inf
            for one, paid, possible in zip(self.tried, price, self.possible, strict=True)
        ]


def _possible(found: Solved) -> bool:
    values = found.values
    width = 1 / values["qms"]
    # More loss by creep than there is would be energy from nowhere. Within the resonance's own
    # width a further one would describe how the level bends it, and take half of Res with it.
    bumps = range(1, found.circuit.bumps + 1)
    away = [abs(math.log(values[f"bump{n}_hz"] / values["fs_hz"])) for n in bumps]
    return values.get("creep", 0.0) * CREEP_LOSS <= width and all(one > width for one in away)
