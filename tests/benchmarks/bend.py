"""A curve that bends a signal: its steady state is known by the multiple angles of a sine."""

from dataclasses import dataclass

import numpy as np
from scipy.signal import hilbert, resample

from dsp import Floats

_FINER = 4  # the cube of what lies below half the rate lies below half the finer one


@dataclass(frozen=True, slots=True, kw_only=True)
class Bend:
    """x + second (x^2 less its slow mean) + third x^3, with x in units of ``peak``.

    The slow mean is left out because no cone radiates it. All is scaled so that a sine of
    ``peak`` keeps its fundamental.
    """

    peak: float
    second: float
    third: float

    def bent(self, samples: Floats) -> Floats:
        """Bend what the samples stand for, between them too, so that nothing is aliased."""
        turning = hilbert(resample(samples / self.peak, _FINER * samples.size))
        fine = turning.real
        bent = fine + self.second * (turning**2).real / 2 + self.third * fine**3
        return np.asarray(resample(bent, samples.size)) * self.peak / self._first(1.0)

    def harmonics(self, peak: Floats) -> Floats:
        """Find orders 2 and 3 re the fundamental of a sine of that peak, (2, m)."""
        x = peak / self.peak
        orders = np.array([self.second * x / 2, self.third * x**2 / 4])
        return orders / self._first(x)

    def _first(self, x: Floats | float) -> Floats | float:
        return 1 + 0.75 * self.third * x**2


def bend(*, peak: float, level_db: float) -> Bend:
    """Make orders 2 and 3 each ``level_db`` re the fundamental of a sine of ``peak``."""
    share = 10 ** (level_db / 20)
    third = 4 * share / (1 - 3 * share)
    return Bend(peak=peak, second=2 * share * (1 + 0.75 * third), third=third)
