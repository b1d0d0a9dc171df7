"""A circuit's parameters from an impedance, by weighted least squares.

The residual is the logarithm of measured over modelled impedance: its noise is relative, and a
logarithm of it has no bias of second order, whichever of voltage and current brought it.
"""

import math
from dataclasses import dataclass, replace

import numpy as np

from dsp.arrays import Complexes, Floats, read_only
from dsp.gauss_newton import Bounds, Pace, Point, gauss_newton
from dsp.logarithm import logarithm
from dsp.parameters.circuit import Circuit, bounds, evaluate
from dsp.parameters.readings import Readings

_LONGEST_STEP = 2.0  # of a logarithm
_ROUGHLY = Pace(
    most_steps=15, settled=1e-2, settled_part=1e-3, damping=1e-3, longest_step=_LONGEST_STEP
)
_TO_THE_END = Pace(
    most_steps=60, settled=1e-9, settled_part=1e-12, damping=1e-6, longest_step=_LONGEST_STEP
)
_TAME = 2.5  # standard deviations beyond which a robust fit stops squaring


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

    def at(vector: Floats) -> Point:
        point = _at(circuit, vector, data=data)
        return _tamed(point) if robust else point

    span = bounds_of(circuit, data=data)
    first = at(span.clip(start))
    return _solved(circuit, gauss_newton(first, at=at, bounds=span, pace=_ROUGHLY, to_beat=to_beat))


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
    circuit = found.circuit
    first = Point(
        vector=found.vector,
        residual=found.residual.view(np.float64),
        slope=found.slope,
        cost=found.misfit,
    )
    point = gauss_newton(
        first,
        at=lambda vector: _at(circuit, vector, data=data),
        bounds=bounds_of(circuit, data=data),
        pace=_TO_THE_END,
    )
    return _solved(circuit, point)


def bounds_of(circuit: Circuit, *, data: Readings) -> Bounds:
    """Tell within what a circuit is looked for in data.

    Parameters
    ----------
    circuit : Circuit
        Which.
    data : Readings
        Whose span counts.

    Returns
    -------
    Bounds
    """
    low_hz, high_hz = float(data.frequency_hz[0]), float(data.frequency_hz[-1])
    return bounds(circuit, low_hz=low_hz, high_hz=high_hz)


def _at(circuit: Circuit, vector: Floats, *, data: Readings) -> Point:
    found = evaluate(circuit, vector=vector, frequency_hz=data.frequency_hz)
    admittance = 1 / found.impedance
    residual = (logarithm(data.ohm * admittance) / data.spread).view(np.float64)
    return Point(
        vector=vector,
        residual=residual,
        slope=(found.slope * (admittance / data.spread)).view(np.float64),
        cost=float(residual @ residual),
    )


def _tamed(point: Point) -> Point:
    size = np.abs(point.residual)
    loss = np.where(size < _TAME, size**2, _TAME * (2 * size - _TAME))
    return replace(point, cost=float(np.sum(loss)), weight=_TAME / np.maximum(size, _TAME))


def _solved(circuit: Circuit, point: Point) -> Solved:
    return Solved(
        circuit=circuit,
        vector=point.vector,
        residual=point.residual.view(np.complex128),
        slope=point.slope,
        misfit=float(point.residual @ point.residual),
    )
