"""How figures of good units go together: what one of them tells of another."""

import numpy as np

from dsp.arrays import Floats, read_only
from dsp.errors import DspError
from dsp.findings.usual import ASSUMED_UNITS, within


def usual_correlation(values: Floats, *, assumed: Floats) -> Floats:
    """Find how the figures of good units are correlated, from few units or many.

    Products of deviations from the median are averaged like the variances of ``usual``: what lies
    astray or is missing counts nothing, and ten units in which nothing goes together, of the spread
    that was assumed, count along (a shrunk covariance is still one of something: none of its
    variances can become 0; O. Ledoit, M. Wolf, J. Multivariate Anal. 88 (2004) 365).

    Parameters
    ----------
    values : (units, figures) array
        Any units of measurement; NaN where a unit has none.
    assumed : (figures,) array
        Standard deviation of each in an ordinary lot, above 0.

    Returns
    -------
    (figures, figures) array, read-only: 1 on its diagonal, positive definite.

    Raises
    ------
    DspError
        Nothing assumed of a figure.
    """
    if not np.all(assumed > 0):
        raise DspError("usual_correlation", "assumed spread", given=assumed, allowed="above 0")
    away = np.zeros(values.shape)
    for column, of_one in enumerate(values.T):
        known = np.isfinite(of_one)
        off = of_one[known] - (np.median(of_one[known]) if known.any() else 0.0)
        inside = within(off)
        scale = np.sqrt(max(known.sum() - 1, 0) / max(inside.sum() - 1, 1))
        away[known, column] = np.where(inside, scale * off, 0.0)
    covariance = away.T @ away + np.diag(ASSUMED_UNITS * assumed**2)
    spread = np.sqrt(np.diag(covariance))
    return read_only(covariance / np.outer(spread, spread))
