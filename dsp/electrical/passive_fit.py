"""Fit a passive circuit and a delay together: Gauss-Newton with damping, inside bounds."""

from dataclasses import dataclass

import numpy as np

from dsp.arrays import Bools, Floats, read_only
from dsp.electrical.passive_model import Problem, Structure, bounds, evaluate

_MOST_TRIES = 8
_TINY = 1e-9


@dataclass(frozen=True, slots=True, eq=False, kw_only=True)
class Fit:
    """A fitted circuit.

    Attributes
    ----------
    structure : Structure
        Which one.
    parameters : (k,) array
        See ``evaluate``.
    variance : float
        Of the delay, if the residuals were nothing but noise of the stated size; rad2.
    residual : (2 n,) array
        Real and imaginary parts in turn, each over its standard deviation.
    slope : (f, 2 n) array
        How the residual's model moves with each parameter that is not at a bound.
    """

    structure: Structure
    parameters: Floats
    variance: float
    residual: Floats
    slope: Floats

    def __post_init__(self) -> None:
        for name in ("parameters", "residual", "slope"):
            object.__setattr__(self, name, read_only(getattr(self, name)))

    @property
    def delay(self) -> float:
        """Phase at the top of the band, rad."""
        return float(self.parameters[0])

    @property
    def misfit(self) -> float:
        """Sum of squares of the residual: about 2 n where the circuit is right."""
        return float(self.residual @ self.residual)

    @property
    def freedom(self) -> int:
        """Residuals less parameters, at least 1."""
        return max(1, self.residual.size - self.parameters.size)


@dataclass(frozen=True, slots=True, eq=False)
class _State:
    parameters: Floats
    residual: Floats
    slope: Floats

    @property
    def cost(self) -> float:
        return float(self.residual @ self.residual)


def fit_circuit(
    structure: Structure, *, start: Floats, problem: Problem, most_steps: int = 40
) -> Fit:
    """Minimise the weighted squares of the logarithm of measured over modelled ratio.

    The parameters that enter the impedance as factors stay factors, so that one that ends at
    zero gets there in one step; a parameter at a bound that it wants to cross is left out.

    Parameters
    ----------
    structure : Structure
        Which circuit.
    start : (k,) array
        Where to begin; moved inside the bounds.
    problem : Problem
        The data.
    most_steps : int
        Where to stop if nothing settles.

    Returns
    -------
    Fit
    """
    span = bounds(structure, problem=problem)
    state = _at(structure, np.clip(start, span.low, span.high), problem=problem)
    damping = 1e-4
    for _ in range(most_steps):
        before = state.cost
        pull = state.slope @ state.residual
        free = _free(state.parameters, pull=pull, low=span.low, high=span.high)
        rows = state.slope[free]
        square = rows @ rows.T
        size = np.diag(square)
        size = size + _TINY * np.max(size)
        for _ in range(_MOST_TRIES):
            step = np.zeros(start.size)
            step[free] = np.linalg.solve(square + np.diag(size * damping), pull[free])
            moved = np.clip(state.parameters + step, span.low, span.high)
            tried = _at(structure, moved, problem=problem)
            if tried.cost <= before:
                state, damping = tried, damping / 10
                break
            damping = max(10 * damping, 1e-4)
        else:
            break
        if before - state.cost < 1e-2 + 1e-4 * state.cost:
            break
    pull = state.slope @ state.residual
    free = _free(state.parameters, pull=pull, low=span.low, high=span.high)
    rows = state.slope[free]
    return Fit(
        structure=structure,
        parameters=state.parameters,
        variance=_first_variance(rows),
        residual=state.residual,
        slope=rows,
    )


def _at(structure: Structure, parameters: Floats, *, problem: Problem) -> _State:
    found = evaluate(structure, parameters=parameters, problem=problem)
    error = np.log(problem.ratio / found.impedance) - parameters[0] * problem.jx
    error.imag -= 2 * np.pi * np.round(error.imag / (2 * np.pi))
    weighted = np.ascontiguousarray(found.slope * problem.weight)
    return _State(parameters, (error * problem.weight).view(np.float64), weighted.view(np.float64))


def _free(parameters: Floats, *, pull: Floats, low: Floats, high: Floats) -> Bools:
    held: Bools = ((parameters <= low) & (pull < 0)) | ((parameters >= high) & (pull > 0))
    return ~held


def _first_variance(rows: Floats) -> float:
    square = rows @ rows.T
    size = np.sqrt(np.diag(square))
    size = np.maximum(size, _TINY * np.max(size))
    inverse = np.linalg.pinv(square / np.outer(size, size), rcond=1e-12, hermitian=True)
    return float(inverse[0, 0] / size[0] ** 2)
