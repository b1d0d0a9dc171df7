"""How likely a measured value stands for one inside the limits."""

import numpy as np
from scipy.special import ndtr

from dsp.arrays import Floats
from dsp.errors import DspError


def conformance_probability(
    value: Floats | float,
    *,
    standard_uncertainty: Floats | float,
    upper: Floats | float = np.inf,
    lower: Floats | float = -np.inf,
) -> Floats:
    """Give the probability that the true value lies between the limits.

    Parameters
    ----------
    value : (...) array or float
        As measured.
    standard_uncertainty : (...) array or float
        Same unit, k = 1, above 0.
    upper, lower : (...) array or float
        Limits, same unit; infinite where there is none.

    Returns
    -------
    (...) array, 0 to 1: normal distribution about the value, nothing known of the production
    (JCGM 106:2012, 7.2 to 7.4).

    Raises
    ------
    DspError
        An uncertainty that is not above 0, or a lower limit above the upper.
    """
    spread = np.asarray(standard_uncertainty, dtype=np.float64)
    if not np.all(spread > 0):
        what, allowed = "standard uncertainty", "above 0"
        raise DspError("conformance_probability", what, given=spread, allowed=allowed)
    if np.any(np.asarray(lower) > np.asarray(upper)):
        given = f"{lower} above {upper}"
        raise DspError("conformance_probability", "limits crossed", given=given)
    above = (np.asarray(upper, dtype=np.float64) - value) / spread
    below = (np.asarray(lower, dtype=np.float64) - value) / spread
    # In the tail that is small: a difference of two values near 1 would round away.
    flip = below > 0
    probability: Floats = np.where(flip, ndtr(-below) - ndtr(-above), ndtr(above) - ndtr(below))
    return probability
