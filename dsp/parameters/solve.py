"""Weighted least squares of a circuit: damped Gauss-Newton steps with exact slopes, inside bounds.

The residual is the logarithm of measured over modelled impedance: its noise is relative, and a
logarithm of it has no bias of second order, whichever of voltage and current brought it.
"""

import math
from dataclasses import dataclass

import numpy as np

from dsp.arrays import Complexes, Floats, read_only
from dsp.logarithm import logarithm
from dsp.parameters.circuit import Bounds, Circuit, bounds, evaluate
from dsp.parameters.readings import Readings

_MOST_TRIES = 10
_LONGEST_STEP = 2.0
_TAME = 2.5  # standard deviations beyond which a robust fit stops squaring
_TINY = 1e-12
_WORTH = 0.1  # of what counts as settled: a step that promises less is not tried
_HOPELESS = 0.1  # of what a circuit lacks to its rival: it comes no nearer by steps below


@dataclass(frozen=True, slots=True, eq=False, kw_only=True)
class Solved:
    """A circuit whose parameters were looked for.

    Attributes
    ----------
    circuit : Circuit
        Which one.
    vector : (k,) array
        See ``Circuit.vector``.
    residual : (m,) complex array
        ln(measured / modelled) over its standard deviation.
    slope : (k, 2 m) array
        How ln(modelled) moves with each entry of the vector, over the same standard deviation; real
        and imaginary parts in turn.
    misfit : float
        Sum of squares of the residual's real and imaginary parts.
    """

    circuit: Circuit
    vector: Floats
    residual: Complexes
    slope: Floats
    misfit: float

    def __post_init__(self) -> None:
        for name in ("vector", "residual", "slope"):
            object.__setattr__(self, name, read_only(getattr(self, name)))

    @property
    def values(self) -> dict[str, float]:
        """The parameters by name, each in its unit."""
        return self.circuit.values(self.vector)


@dataclass(frozen=True, slots=True, kw_only=True)
class _Pace:
    """When to stop: most steps, and what the sum of squares, in variances, gains no more."""

    most_steps: int
    settled: float
    settled_part: float  # of itself
    damping: float  # to begin with


_ROUGHLY = _Pace(most_steps=15, settled=1e-2, settled_part=1e-3, damping=1e-3)
_TO_THE_END = _Pace(most_steps=60, settled=1e-9, settled_part=1e-12, damping=1e-6)


def solve(
    circuit: Circuit,
    *,
    start: Floats,
    data: Readings,
    robust: bool = False,
    to_beat: float = math.inf,
) -> Solved:
    """Find parameters that leave little: enough to tell circuits apart and to go on from.

    Parameters
    ----------
    circuit : Circuit
        Which one.
    start : (k,) array
        Where to begin; moved inside the bounds.
    data : Readings
        What it is to describe.
    robust : bool
        Points beyond 2.5 standard deviations count by their distance, not its square (P. J. Huber,
        Ann. Math. Statist. 35 (1964) 73). For a first look.
    to_beat : float
        Sum of squares below which the circuit would be of use: it is given up where its steps
        no longer lead there.

    Returns
    -------
    Solved
    """
    span = _span(circuit, data)
    first = _at(circuit, np.clip(start, span.low, span.high), data=data)
    return _descend(first, data=data, span=span, pace=_ROUGHLY, robust=robust, to_beat=to_beat)


def solve_to_the_end(found: Solved, *, data: Readings) -> Solved:
    """Go on from a rough solution to where nothing moves.

    Parameters
    ----------
    found : Solved
        The rough one, of the same data.
    data : Readings
        What it is to describe.

    Returns
    -------
    Solved
    """
    return _descend(found, data=data, span=_span(found.circuit, data), pace=_TO_THE_END)


def _descend(
    state: Solved,
    *,
    data: Readings,
    span: Bounds,
    pace: _Pace,
    robust: bool = False,
    to_beat: float = math.inf,
) -> Solved:
    damping = pace.damping
    for _ in range(pace.most_steps):
        cost = _cost(state, robust=robust)
        settled = pace.settled + pace.settled_part * cost
        slopes = _normal(state, span=span, robust=robust)
        for _ in range(_MOST_TRIES):
            step = slopes.step(damping)
            if step @ slopes.pull < _WORTH * settled:
                return state
            moved = state.vector + np.clip(step, -_LONGEST_STEP, _LONGEST_STEP)
            tried = _at(state.circuit, np.clip(moved, span.low, span.high), data=data)
            gain = cost - _cost(tried, robust=robust)
            if gain >= 0:
                break
            damping = max(10 * damping, 1e-4)
        else:
            return state
        state, damping = tried, damping / 10
        if gain < max(settled, _HOPELESS * (cost - gain - to_beat)):
            return state
    return state


def _span(circuit: Circuit, data: Readings) -> Bounds:
    low_hz, high_hz = float(data.frequency_hz[0]), float(data.frequency_hz[-1])
    return bounds(circuit, low_hz=low_hz, high_hz=high_hz)


def _at(circuit: Circuit, vector: Floats, *, data: Readings) -> Solved:
    found = evaluate(circuit, vector=vector, frequency_hz=data.frequency_hz)
    admittance = 1 / found.impedance
    residual = logarithm(data.ohm * admittance) / data.spread
    parts = residual.view(np.float64)
    return Solved(
        circuit=circuit,
        vector=vector,
        residual=residual,
        slope=(found.slope * (admittance / data.spread)).view(np.float64),
        misfit=float(parts @ parts),
    )


def _cost(state: Solved, *, robust: bool) -> float:
    if not robust:
        return state.misfit
    size = np.abs(state.residual.view(np.float64))
    return float(np.sum(np.where(size < _TAME, size**2, _TAME * (2 * size - _TAME))))


@dataclass(frozen=True, slots=True, eq=False)
class _Normal:
    """The normal equations of a step; an entry that a bound holds stands in none of them."""

    pull: Floats  # (k,)
    square: Floats  # (k, k)
    size: Floats  # (k,), what damping is measured by

    def step(self, damping: float) -> Floats:
        damped = self.square + np.diag(self.size * damping)
        return np.asarray(np.linalg.solve(damped, self.pull), dtype=np.float64)


def _normal(state: Solved, *, span: Bounds, robust: bool) -> _Normal:
    residual, slope = state.residual.view(np.float64), state.slope
    if robust:
        weight = np.sqrt(_TAME / np.maximum(np.abs(residual), _TAME))
        residual, slope = residual * weight, slope * weight
    pull, square = slope @ residual, slope @ slope.T
    at_low = (state.vector <= span.low) & (pull < 0)
    at_high = (state.vector >= span.high) & (pull > 0)
    if (held := at_low | at_high).any():
        pull[held] = square[held] = square[:, held] = 0.0
        square[held, held] = 1.0
    size = np.diag(square)
    return _Normal(pull=pull, square=square, size=size + _TINY * np.max(size))
