"""Weighted least squares of a circuit: damped Gauss-Newton steps with exact slopes, inside bounds.

The residual is the logarithm of measured over modelled impedance: its noise is relative, and a
logarithm of it has no bias of second order, whichever of voltage and current brought it.
"""

from dataclasses import dataclass

import numpy as np

from dsp.arrays import Bools, Complexes, Floats, read_only
from dsp.parameters.circuit import Circuit, bounds, evaluate
from dsp.parameters.readings import Readings

_MOST_TRIES = 10
# Most steps; and what the sum of squares, whose unit is one variance, gains no more: as it is and
# as a part of itself.
_TO_THE_END, _ROUGHLY = (60, 1e-6, 1e-9), (15, 1e-2, 1e-3)
_TAME = 2.5  # standard deviations beyond which a robust fit stops squaring
_TINY = 1e-12


@dataclass(frozen=True, slots=True, eq=False, kw_only=True)
class Solved:
    """A fitted circuit.

    Attributes
    ----------
    circuit : Circuit
        Which one.
    vector : (k,) array
        See ``Circuit.vector``.
    covariance : (k, k) array
        Of the vector from noise of the stated size; 0 for what is held at a bound.
    common : (2, k) array
        What one standard deviation of the chain's magnitude, and of its phase, does to the vector.
    residual : (m,) complex array
        ln(measured / modelled) over its standard deviation.
    held : tuple of str
        Parameters that ended at a bound.
    """

    circuit: Circuit
    vector: Floats
    covariance: Floats
    common: Floats
    residual: Complexes
    held: tuple[str, ...]

    def __post_init__(self) -> None:
        for name in ("vector", "covariance", "common", "residual"):
            object.__setattr__(self, name, read_only(getattr(self, name)))

    @property
    def misfit(self) -> float:
        """Sum of squares of the residual's real and imaginary parts."""
        return float(np.sum(np.abs(self.residual) ** 2))


@dataclass(frozen=True, slots=True, eq=False)
class _State:
    vector: Floats
    residual: Floats  # (2 m,)
    rows: Floats  # (k, 2 m), slopes of the model over the spread
    cost: float


def solve(
    circuit: Circuit,
    *,
    start: Floats,
    data: Readings,
    robust: bool = False,
    rough: bool = False,
) -> Solved:
    """Find the parameters that leave the least.

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
        Ann. Math. Statist. 35 (1964) 73). For a first look; the covariance is then not efficient.
    rough : bool
        Stop early: good enough to tell circuits apart and to begin from.

    Returns
    -------
    Solved
    """
    span = bounds(circuit, low_hz=float(data.frequency_hz[0]), high_hz=float(data.frequency_hz[-1]))
    state = _at(circuit, np.clip(start, span.low, span.high), data=data, robust=robust)
    damping = 1e-3
    most_steps, settled, settled_part = _ROUGHLY if rough else _TO_THE_END
    for _ in range(most_steps):
        before = state.cost
        weight = _weight(state.residual, robust=robust)
        pull = state.rows @ (weight * state.residual)
        free = _free(state.vector, pull=pull, low=span.low, high=span.high)
        rows = state.rows[free]
        square = (rows * weight) @ rows.T
        size = np.diag(square)
        size = size + _TINY * np.max(size)
        for _ in range(_MOST_TRIES):
            step = np.zeros(start.size)
            step[free] = np.linalg.solve(square + np.diag(size * damping), pull[free])
            moved = np.clip(state.vector + np.clip(step, -2, 2), span.low, span.high)
            tried = _at(circuit, moved, data=data, robust=robust)
            if tried.cost <= before:
                state, damping = tried, damping / 10
                break
            damping = max(10 * damping, 1e-4)
        else:
            break
        if before - state.cost < settled + settled_part * state.cost:
            break
    return _finish(circuit, state, data=data, low=span.low, high=span.high)


def _finish(
    circuit: Circuit, state: _State, *, data: Readings, low: Floats, high: Floats
) -> Solved:
    edge = 1e-9
    free = (state.vector > low + edge) & (state.vector < high - edge)
    rows = state.rows[free]
    inverse = _inverse(rows @ rows.T)
    count = state.vector.size
    covariance, common = np.zeros((count, count)), np.zeros((2, count))
    covariance[np.ix_(free, free)] = inverse
    errors = np.ascontiguousarray(data.common / data.spread).view(np.float64)
    common[:, free] = errors @ rows.T @ inverse
    return Solved(
        circuit=circuit,
        vector=state.vector,
        covariance=covariance,
        common=common,
        residual=state.residual.view(np.complex128),
        held=tuple(n for n, moves in zip(circuit.names, free, strict=True) if not moves),
    )


def _at(circuit: Circuit, vector: Floats, *, data: Readings, robust: bool) -> _State:
    found = evaluate(circuit, vector=vector, frequency_hz=data.frequency_hz)
    residual = (np.log(data.ohm / found.impedance) / data.spread).view(np.float64)
    rows = (found.slope * (1 / (found.impedance * data.spread))).view(np.float64)
    size = np.abs(residual)
    loss = np.where(size < _TAME, size**2, _TAME * (2 * size - _TAME)) if robust else size**2
    return _State(vector, residual, rows, float(np.sum(loss)))


def _weight(residual: Floats, *, robust: bool) -> Floats:
    if not robust:
        return np.ones_like(residual)
    weight: Floats = _TAME / np.maximum(np.abs(residual), _TAME)
    return weight


def _free(vector: Floats, *, pull: Floats, low: Floats, high: Floats) -> Bools:
    held: Bools = ((vector <= low) & (pull < 0)) | ((vector >= high) & (pull > 0))
    return ~held


def _inverse(square: Floats) -> Floats:
    size = np.sqrt(np.maximum(np.diag(square), _TINY * np.max(np.diag(square))))
    inverse: Floats = np.linalg.pinv(square / np.outer(size, size), rcond=1e-13, hermitian=True)
    inverse /= np.outer(size, size)
    return inverse
