"""How noise and the chain's error scatter the parameters of a solved circuit."""

from dataclasses import dataclass

import numpy as np

from dsp.arrays import Floats, read_only
from dsp.parameters.readings import Readings
from dsp.parameters.solve import Solved, bounds_of

_EDGE = 1e-9  # nearer to a bound than this is at it
_TINY = 1e-12
_LEAST_TOLD = 1e-13  # of what the data tell most about


@dataclass(frozen=True, slots=True, eq=False, kw_only=True)
class Scatter:
    """What a vector's errors are.

    Attributes
    ----------
    covariance : (k, k) array
        Of the vector from noise of the stated size; 0 for what is held at a bound.
    common : (2, k) array
        What one standard deviation of the chain's magnitude, and of its phase, does to the vector.
    """

    covariance: Floats
    common: Floats

    def __post_init__(self) -> None:
        object.__setattr__(self, "covariance", read_only(self.covariance))
        object.__setattr__(self, "common", read_only(self.common))


def scatter(found: Solved, *, data: Readings) -> Scatter:
    """Carry noise and the chain's error to the parameters of a circuit.

    Parameters
    ----------
    found : Solved
        To the end.
    data : Readings
        What it was solved for.

    Returns
    -------
    Scatter
    """
    span = bounds_of(found.circuit, data=data)
    free = (found.vector > span.low + _EDGE) & (found.vector < span.high - _EDGE)
    rows = found.slope[free]
    inverse = _inverse(rows @ rows.T)
    count = found.vector.size
    covariance, common = np.zeros((count, count)), np.zeros((2, count))
    covariance[np.ix_(free, free)] = inverse
    errors = np.ascontiguousarray(data.common / data.spread).view(np.float64)
    common[:, free] = errors @ rows.T @ inverse
    return Scatter(covariance=covariance, common=common)


def _inverse(square: Floats) -> Floats:
    # Leaving out what the data do not tell at all: those directions have no finite error.
    size = np.sqrt(np.maximum(np.diag(square), _TINY * np.max(np.diag(square))))
    told, along = np.linalg.eigh(square / np.outer(size, size))
    kept = told > _LEAST_TOLD * told[-1]
    inverse: Floats = (along[:, kept] / told[kept]) @ along[:, kept].T
    inverse /= np.outer(size, size)
    return inverse
