"""Constants of control charts, by integration over samples of a normal distribution."""

from dataclasses import dataclass
from math import exp, lgamma, sqrt

import numpy as np
from scipy.special import ndtr

from dsp.errors import DspError

MOST = 50  # values in a subgroup; a range of more throws too much away
_NODES, _WEIGHTS = np.polynomial.legendre.leggauss(200)
_FAR = 9.0


@dataclass(frozen=True, slots=True, kw_only=True)
class ChartConstants:
    """What range and deviation of a sample of n have to do with those of its production.

    Attributes
    ----------
    d2, d3 : float
        Mean and deviation of the range, in deviations of the production.
    c4 : float
        Mean of the sample's standard deviation, likewise.
    """

    n: int
    d2: float
    d3: float
    c4: float

    @property
    def a2(self) -> float:
        """Three deviations of a mean, in mean ranges."""
        return 3 / (self.d2 * sqrt(self.n))

    @property
    def lower_range(self) -> float:
        """D3: lower limit of a range, in mean ranges; 0 where there is none."""
        return max(0.0, 1 - 3 * self.d3 / self.d2)

    @property
    def upper_range(self) -> float:
        """D4: upper limit of a range, in mean ranges."""
        return 1 + 3 * self.d3 / self.d2


def chart_constants(n: int) -> ChartConstants:
    """Find the constants for subgroups of a size.

    Parameters
    ----------
    n : int
        Values in a subgroup, 2 to 50.

    Returns
    -------
    ChartConstants (ISO 7870-2:2023 prints them to three digits).

    Raises
    ------
    DspError
        A size outside.

    Notes
    -----
    The range of n values is the length of the stretch that they straddle: its mean is
    ∫ 1 − Φⁿ − (1 − Φ)ⁿ, and its mean square twice the integral over pairs x < y of
    1 − Φ(y)ⁿ − (1 − Φ(x))ⁿ + (Φ(y) − Φ(x))ⁿ (L. H. C. Tippett, Biometrika 17 (1925) 364).
    """
    if not 2 <= n <= MOST:
        raise DspError("chart_constants", "size outside", given=n, allowed=f"2 to {MOST}")
    y = _FAR * _NODES
    d2 = float(np.sum(_FAR * _WEIGHTS * (1 - ndtr(y) ** n - ndtr(-y) ** n)))
    half = (y + _FAR) / 2  # for each y, x runs from the far end up to it
    x = -_FAR + half[:, np.newaxis] * (1 + _NODES)
    upper = ndtr(y)[:, np.newaxis]
    straddled = 1 - upper**n - ndtr(-x) ** n + (upper - ndtr(x)) ** n
    inner = half * (straddled @ _WEIGHTS)
    square = 2 * float(np.sum(_FAR * _WEIGHTS * inner))
    c4 = sqrt(2 / (n - 1)) * exp(lgamma(n / 2) - lgamma((n - 1) / 2))
    return ChartConstants(n=n, d2=d2, d3=sqrt(square - d2**2), c4=c4)
