"""How sure a prediction is, from how sure the unit's parameters are."""

import math
from collections.abc import Sequence
from dataclasses import dataclass, replace
from typing import Self

import numpy as np

from dsp.arrays import AnyArray, Floats, read_only
from dsp.box.unit import UNCERTAIN, BoxUnit
from dsp.errors import DspError

_STEP = 1e-4  # of a parameter; the derivative's error is its square


@dataclass(frozen=True, slots=True, eq=False, kw_only=True)
class ParameterCovariance:
    """How well the six parameters of a unit are known.

    Attributes
    ----------
    covariance : (6, 6) array
        Of their logarithms, in the order of ``UNCERTAIN``: squared relative standard uncertainties
        on the diagonal.
    """

    covariance: Floats

    def __post_init__(self) -> None:
        matrix = np.asarray(self.covariance, dtype=np.float64)
        size = len(UNCERTAIN)
        fits = matrix.shape == (size, size) and np.allclose(matrix, matrix.T, rtol=1e-9, atol=0)
        if not fits or np.linalg.eigvalsh(matrix)[0] < -1e-9 * np.trace(matrix):
            allowed = f"{size} x {size}, symmetric, no negative eigenvalue"
            raise DspError("ParameterCovariance", "not a covariance", allowed=allowed)
        object.__setattr__(self, "covariance", read_only(matrix))

    @classmethod
    def independent(cls, **relative: float) -> Self:
        """Make the covariance of parameters that share nothing.

        Parameters
        ----------
        **relative : float
            By name, as in ``UNCERTAIN``: standard uncertainty over value; left out: exact.

        Returns
        -------
        ParameterCovariance

        Raises
        ------
        DspError
            A name that is no parameter.
        """
        strange = set(relative) - set(UNCERTAIN)
        if strange:
            raise DspError(
                "ParameterCovariance", "no such parameter", given=strange, allowed=UNCERTAIN
            )
        return cls(covariance=np.diag([relative.get(name, 0.0) ** 2 for name in UNCERTAIN]))


def neighbours(unit: BoxUnit) -> tuple[tuple[BoxUnit, BoxUnit], ...]:
    """Put each parameter a little up and a little down.

    Parameters
    ----------
    unit : BoxUnit
        Where.

    Returns
    -------
    Six pairs (up, down), in the order of ``UNCERTAIN``.
    """
    return tuple(
        (
            replace(unit, **{name: getattr(unit, name) * (1 + _STEP)}),
            replace(unit, **{name: getattr(unit, name) * (1 - _STEP)}),
        )
        for name in UNCERTAIN
    )


def slopes(pairs: Sequence[tuple[AnyArray, AnyArray]]) -> AnyArray:
    """Differentiate a result by the logarithm of every parameter.

    Parameters
    ----------
    pairs : six of ((...) array, (...) array)
        The result, real or complex, for each pair of ``neighbours``.

    Returns
    -------
    (6, ...) array in the result's unit, by central differences (JCGM 100:2008, 5.1.3).
    """
    apart = math.log1p(_STEP) - math.log1p(-_STEP)
    return np.array([(up - down) / apart for up, down in pairs])  # type: ignore[return-value]  # as they


def standard_uncertainty(slope: Floats, *, known: ParameterCovariance) -> Floats:
    """Carry the parameters' covariance to a result.

    Parameters
    ----------
    slope : (6, ...) array
        From ``slopes``, real.
    known : ParameterCovariance
        Of the parameters.

    Returns
    -------
    (...) array, k = 1 (JCGM 100:2008, 5.2.2), to first order.
    """
    variance = np.einsum("i...,ij,j...->...", slope, known.covariance, slope)
    carried: Floats = np.sqrt(np.maximum(variance, 0.0))  # full correlation may round below 0
    return carried
