"""Combine standard uncertainties, correlated or not, by the law of propagation."""

import numpy as np

from dsp.arrays import Floats
from dsp.errors import DspError


def combined_uncertainty(
    standard: Floats, *, sensitivity: Floats | None = None, correlation: Floats | None = None
) -> Floats:
    """Add contributions in squares, weighted by how the result answers to each.

    Parameters
    ----------
    standard : (n,) or (n, m) array
        Standard uncertainties (k = 1) of n inputs, at m places, each in its input's unit.
    sensitivity : (n,) or (n, m) array or None
        Partial derivatives of the result; None: 1 each.
    correlation : (n, n) array or None
        Correlation coefficients of the inputs; None: independent.

    Returns
    -------
    () or (m,) array, standard uncertainty in the result's unit.

    Raises
    ------
    DspError
        Negative uncertainties, a matrix that is not one of correlations, or derivatives that are
        all zero at a place although the inputs are uncertain there: first order then knows nothing.

    Notes
    -----
    JCGM 100:2008, 5.1.2 and 5.2.2.
    """
    where = "combined_uncertainty"
    standard = np.asarray(standard, dtype=np.float64)
    if not standard.size or not np.all(standard >= 0):
        raise DspError(where, "standard uncertainties", given=standard, allowed="from 0")
    slope = np.ones(standard.shape) if sensitivity is None else np.asarray(sensitivity)
    flat = np.all(slope == 0, axis=0) & np.any(standard > 0, axis=0)
    if np.any(flat):
        what = "all sensitivities are zero: first order does not answer, propagate distributions"
        raise DspError(where, what)
    parts = slope * standard
    if correlation is None:
        alone: Floats = np.sqrt(np.sum(parts**2, axis=0))
        return alone
    matrix = _correlations(correlation, size=standard.shape[0])
    variance = np.einsum("i...,ij,j...->...", parts, matrix, parts)
    together: Floats = np.sqrt(np.maximum(variance, 0.0))  # full correlation may round below 0
    return together


def propagated_covariance(covariance: Floats, *, jacobian: Floats) -> Floats:
    """Carry a covariance through several results at once.

    Parameters
    ----------
    covariance : (n, n) array
        Of the inputs.
    jacobian : (r, n) array
        Derivative of each result by each input.

    Returns
    -------
    (r, r) array, covariance of the results (JCGM 102:2011, 6.2.1.3).

    Raises
    ------
    DspError
        Shapes that do not fit.
    """
    if covariance.ndim != 2 or jacobian.ndim != 2 or covariance.shape != (jacobian.shape[1],) * 2:
        shapes = (covariance.shape, jacobian.shape)
        raise DspError("propagated_covariance", "shapes differ", given=shapes)
    carried: Floats = jacobian @ covariance @ jacobian.T
    return carried


def covariance_of_means(readings: Floats) -> Floats:
    """Find how sure the means of readings taken together are, and how they hang together.

    Parameters
    ----------
    readings : (n, r) array
        r simultaneous readings of n quantities.

    Returns
    -------
    (n, n) array: squared standard uncertainties of the n means on the diagonal, r - 1 degrees of
    freedom (JCGM 100:2008, 4.2.3 and 5.2.3).

    Raises
    ------
    DspError
        Fewer than two readings.
    """
    if readings.ndim != 2 or readings.shape[1] < 2:
        given = readings.shape
        raise DspError("covariance_of_means", "too few readings", given=given, allowed="from 2")
    spread = np.atleast_2d(np.cov(readings))
    means: Floats = spread / readings.shape[1]
    return means


def _correlations(matrix: Floats, *, size: int) -> Floats:
    matrix = np.asarray(matrix, dtype=np.float64)
    fits = matrix.shape == (size, size) and np.allclose(matrix, matrix.T, rtol=0, atol=1e-12)
    if not fits or not np.allclose(np.diag(matrix), 1) or np.linalg.eigvalsh(matrix)[0] < -1e-9:
        allowed = f"{size} x {size}, symmetric, 1 on the diagonal, no negative eigenvalue"
        raise DspError("combined_uncertainty", "not a correlation matrix", allowed=allowed)
    return matrix
