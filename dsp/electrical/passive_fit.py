"""Fit a passive circuit and a delay together."""

import math
from dataclasses import dataclass

import numpy as np
from scipy.linalg.lapack import dposv

from dsp.arrays import Floats, read_only
from dsp.electrical.passive_model import Problem, Structure, bounds, evaluate
from dsp.gauss_newton import Pace, Point, gauss_newton
from dsp.logarithm import logarithm

_TINY = 1e-9
_BARELY = 1e-12  # added to the square, so that it can be inverted


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


def fit_circuit(
    structure: Structure,
    *,
    start: Floats,
    problem: Problem,
    most_steps: int = 40,
    to_beat: float = math.inf,
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
    to_beat : float
        Sum of squares below which the circuit would be of use: it is given up where its steps
        no longer lead there.

    Returns
    -------
    Fit
    """
    span = bounds(structure, problem=problem)

    def at(parameters: Floats) -> Point:
        return _at(structure, parameters, problem=problem)

    pace = Pace(most_steps=most_steps, settled=1e-2, settled_part=1e-4, damping=1e-4)
    point = gauss_newton(at(span.clip(start)), at=at, bounds=span, pace=pace, to_beat=to_beat)
    free = ~span.held(point.vector, pull=point.slope @ point.residual)
    rows = point.slope[free]
    return Fit(
        structure=structure,
        parameters=point.vector,
        variance=_first_variance(rows),
        residual=point.residual,
        slope=rows,
    )


def _at(structure: Structure, parameters: Floats, *, problem: Problem) -> Point:
    found = evaluate(structure, parameters=parameters, problem=problem)
    error = logarithm(problem.ratio / found.impedance) - parameters[0] * problem.jx
    error.imag -= 2 * np.pi * np.round(error.imag / (2 * np.pi))
    residual = (error * problem.weight).view(np.float64)
    return Point(
        vector=parameters,
        residual=residual,
        slope=(found.slope * problem.weight).view(np.float64),
        cost=float(residual @ residual),
    )


def _first_variance(rows: Floats) -> float:
    # Of the inverse square only the first entry is asked for.
    square = rows @ rows.T
    size = np.sqrt(np.diag(square))
    size = np.maximum(size, _TINY * np.max(size))
    damped = square / np.outer(size, size) + _BARELY * np.eye(size.size)
    _, solved, _ = dposv(damped, np.eye(size.size)[0])
    return float(solved[0] / size[0] ** 2)
