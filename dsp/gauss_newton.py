"""Weighted least squares: damped Gauss-Newton steps with exact slopes, inside bounds."""

import math
from collections.abc import Callable
from dataclasses import dataclass

import numpy as np
from scipy.linalg.lapack import dposv

from dsp.arrays import Bools, Floats

_MOST_TRIES = 10
_TINY = 1e-12
_WORTH = 0.1  # of what counts as settled: a step that promises less is not tried
_HOPELESS = 0.1  # of what is missing: smaller steps lead nowhere
_LEAST_DAMPING = 1e-4  # after a step that failed


@dataclass(frozen=True, slots=True, eq=False, kw_only=True)
class Bounds:
    """Lowest and highest value of each entry of a vector, (k,)."""

    low: Floats
    high: Floats

    def clip(self, vector: Floats) -> Floats:
        """Move a vector inside.

        Parameters
        ----------
        vector : (k,) array
            Any.

        Returns
        -------
        (k,) array
        """
        inside: Floats = np.minimum(np.maximum(vector, self.low), self.high)
        return inside

    def held(self, vector: Floats, *, pull: Floats) -> Bools:
        """Tell what stands at a bound that it wants to cross.

        Parameters
        ----------
        vector : (k,) array
            Inside.
        pull : (k,) array
            Which way, and how strongly, each entry wants to go.

        Returns
        -------
        (k,) bool array
        """
        at_low = (vector <= self.low) & (pull < 0)
        held: Bools = at_low | ((vector >= self.high) & (pull > 0))
        return held


@dataclass(frozen=True, slots=True, eq=False, kw_only=True)
class Point:
    """A model at one vector of its parameters; it lives as long as its fit.

    Attributes
    ----------
    vector : (k,) array
        The parameters.
    residual : (n,) array
        Measured less modelled, over the standard deviation.
    slope : (k, n) array
        How the model moves with each parameter, over the same.
    cost : float
        What is to become least: the sum of squares, or what stands for it in a robust fit.
    weight : (n,) array or float
        Of each residual's square in the next step; all alike but in a robust fit.
    """

    vector: Floats
    residual: Floats
    slope: Floats
    cost: float
    weight: Floats | float = 1.0


@dataclass(frozen=True, slots=True, kw_only=True)
class Pace:
    """How to go and when to stop.

    Attributes
    ----------
    most_steps : int
        Where to stop if nothing settles.
    settled, settled_part : float
        What the cost gains no more, as it is and as a part of itself.
    damping : float
        To begin with, as a part of each parameter's own curvature.
    longest_step : float
        Of any entry of the vector.
    """

    most_steps: int
    settled: float
    settled_part: float
    damping: float
    longest_step: float = math.inf


def gauss_newton(
    first: Point,
    *,
    at: Callable[[Floats], Point],
    bounds: Bounds,
    pace: Pace,
    to_beat: float = math.inf,
) -> Point:
    """Go downhill until nothing is gained any more.

    Parameters
    ----------
    first : Point
        Where to begin, inside the bounds.
    at : callable
        Computes the model at a vector.
    bounds : Bounds
        What no parameter leaves.
    pace : Pace
        How, and when to stop.
    to_beat : float
        Cost below which the model would be of use: it is given up where its steps no longer lead
        there.

    Returns
    -------
    Point
    """
    point, damping = first, pace.damping
    for _ in range(pace.most_steps):
        settled = pace.settled + pace.settled_part * point.cost
        normal = _normal(point, bounds=bounds)
        for _ in range(_MOST_TRIES):
            step = normal.step(damping)
            if step @ normal.pull < _WORTH * settled:
                return point
            step = np.minimum(np.maximum(step, -pace.longest_step), pace.longest_step)
            tried = at(bounds.clip(point.vector + step))
            gain = point.cost - tried.cost
            if gain >= 0:
                break
            damping = max(10 * damping, _LEAST_DAMPING)
        else:
            return point
        point, damping = tried, damping / 10
        if gain < max(settled, _HOPELESS * (point.cost - to_beat)):
            return point
    return point


@dataclass(frozen=True, slots=True, eq=False)
class _Normal:
    """The normal equations of a step; a parameter that a bound holds stands in none of them."""

    pull: Floats  # (k,)
    square: Floats  # (k, k)
    size: Floats  # (k,), what damping is measured by

    def step(self, damping: float) -> Floats:
        damped = self.square.copy()
        damped.flat[:: self.size.size + 1] += self.size * damping
        # Where rounding leaves it not positive definite, the pull itself comes back: a step
        # downhill, if too long a one, and the next is damped more.
        step: Floats
        _, step, _ = dposv(damped, self.pull)
        return step


def _normal(point: Point, *, bounds: Bounds) -> _Normal:
    rows = point.slope * point.weight
    pull, square = rows @ point.residual, rows @ point.slope.T
    if (held := bounds.held(point.vector, pull=pull)).any():
        pull[held] = square[held] = square[:, held] = 0.0
        square[held, held] = 1.0
    size = square.diagonal()
    return _Normal(pull=pull, square=square, size=size + _TINY * size.max())
