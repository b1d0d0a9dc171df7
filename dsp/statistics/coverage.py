"""From a standard uncertainty to an interval: coverage factors and degrees of freedom."""

import math

import numpy as np
from scipy.special import ndtri, stdtrit

from dsp.arrays import Floats
from dsp.errors import DspError

TWO_SIGMA = 0.9545  # probability of +-2 standard deviations of a normal distribution


def coverage_factor(degrees_of_freedom: float, *, probability: float = TWO_SIGMA) -> float:
    """Give the factor k that an interval needs to hold the truth with a probability.

    Parameters
    ----------
    degrees_of_freedom : float
        From 1, infinity allowed; not rounded.
    probability : float
        Of the two-sided interval, between 0 and 1.

    Returns
    -------
    float, k of Student's distribution; of the normal one for infinity (JCGM 100:2008, G.3).

    Raises
    ------
    DspError
        Degrees of freedom below 1, or a probability outside 0 to 1.
    """
    if not degrees_of_freedom >= 1:
        given = degrees_of_freedom
        raise DspError("coverage_factor", "degrees of freedom", given=given, allowed="from 1")
    if not 0 < probability < 1:
        allowed = "between 0 and 1"
        raise DspError("coverage_factor", "probability outside", given=probability, allowed=allowed)
    upper = (1 + probability) / 2
    if math.isinf(degrees_of_freedom):
        return float(ndtri(upper))
    return float(stdtrit(degrees_of_freedom, upper))


def effective_degrees_of_freedom(contributions: Floats, *, degrees_of_freedom: Floats) -> float:
    """Join the degrees of freedom of independent contributions (Welch-Satterthwaite).

    Parameters
    ----------
    contributions : (n,) array
        Standard uncertainties of the inputs times their sensitivities, in the result's unit.
    degrees_of_freedom : (n,) array
        From 1 each; infinity for a contribution that is known exactly.

    Returns
    -------
    float, infinity where only exactly known contributions count (JCGM 100:2008, G.4.1).

    Raises
    ------
    DspError
        Shapes that differ, degrees of freedom below 1, or contributions that are all zero.
    """
    where = "effective_degrees_of_freedom"
    parts = np.asarray(contributions, dtype=np.float64)
    freedom = np.asarray(degrees_of_freedom, dtype=np.float64)
    if parts.shape != freedom.shape:
        raise DspError(where, "shapes differ", given=(parts.shape, freedom.shape))
    if not np.all(freedom >= 1):
        raise DspError(where, "degrees of freedom", given=freedom, allowed="from 1")
    total = np.sum(parts**2)
    if not total > 0:
        raise DspError(where, "no contribution above 0")
    spread = np.sum((parts**2 / total) ** 2 / freedom)
    return float(1 / spread) if spread > 0 else math.inf
