"""Damped steps against solvers that reach the same least in another way."""

import math
from collections.abc import Callable
from dataclasses import replace

import numpy as np
import pytest
from scipy.optimize import least_squares, lsq_linear

from dsp import Floats
from dsp.gauss_newton import Bounds, Pace, Point, gauss_newton

TO_THE_END = Pace(most_steps=60, settled=1e-12, settled_part=1e-12, damping=1e-3)
OPEN = Bounds(low=np.full(2, -np.inf), high=np.full(2, np.inf))
TIME_S = np.linspace(0.0, 3.0, 40)
DECAYED = 2.0 * np.exp(-1.3 * TIME_S) + 0.01 * np.random.default_rng(4).standard_normal(40)


def decay(vector: Floats) -> Point:
    """A decay of unknown height and rate, over a standard deviation of 0.01."""
    shape = np.exp(-vector[1] * TIME_S)
    residual = (DECAYED - vector[0] * shape) / 0.01
    return Point(
        vector=vector,
        residual=residual,
        slope=np.array([shape, -vector[0] * TIME_S * shape]) / 0.01,
        cost=float(residual @ residual),
    )


def residuals_of(at: Callable[[Floats], Point]) -> Callable[[Floats], Floats]:
    def residuals(vector: Floats) -> Floats:
        return at(vector).residual

    return residuals


def counted(at: Callable[[Floats], Point], calls: list[Floats]) -> Callable[[Floats], Point]:
    def count(vector: Floats) -> Point:
        calls.append(vector)
        return at(vector)

    return count


def test_the_least_is_where_another_solver_finds_it() -> None:
    expected = least_squares(residuals_of(decay), [0.5, 0.2], xtol=1e-14).x
    found = gauss_newton(decay(np.array([0.5, 0.2])), at=decay, bounds=OPEN, pace=TO_THE_END)
    np.testing.assert_allclose(found.vector, expected, rtol=1e-7)


def test_a_bound_is_reached_and_the_others_go_on_to_their_least() -> None:
    chance = np.random.default_rng(1)
    slope, data = chance.standard_normal((3, 20)), chance.standard_normal(20)
    low, high = np.array([0.1, -1.0, -0.05]), np.array([2.0, 1.0, 0.05])

    def linear(vector: Floats) -> Point:
        residual = data - vector @ slope
        return Point(vector=vector, residual=residual, slope=slope, cost=float(residual @ residual))

    expected = lsq_linear(slope.T, data, bounds=(low, high), tol=1e-14).x
    assert np.any(np.isclose(expected, low) | np.isclose(expected, high))
    span = Bounds(low=low, high=high)
    found = gauss_newton(linear(span.clip(np.zeros(3))), at=linear, bounds=span, pace=TO_THE_END)
    np.testing.assert_allclose(found.vector, expected, atol=1e-9)


def test_a_robust_cost_is_followed_by_its_weights() -> None:
    # Sum of |residual| beyond 1.5: P. J. Huber, Ann. Math. Statist. 35 (1964) 73; scipy's own.
    wild = DECAYED.copy()
    wild[[3, 17]] += 0.5

    def tamed(vector: Floats) -> Point:
        plain = decay(vector)
        residual = plain.residual + (wild - DECAYED) / 0.01
        size = np.abs(residual)
        loss = np.where(size < 1.5, size**2, 1.5 * (2 * size - 1.5))
        weight = 1.5 / np.maximum(size, 1.5)
        return replace(plain, residual=residual, cost=float(np.sum(loss)), weight=weight)

    expected = least_squares(
        residuals_of(tamed), [0.5, 0.2], loss="huber", f_scale=1.5, xtol=1e-14
    ).x
    found = gauss_newton(tamed(np.array([0.5, 0.2])), at=tamed, bounds=OPEN, pace=TO_THE_END)
    np.testing.assert_allclose(found.vector, expected, rtol=1e-4)


def test_it_ends_where_a_step_promises_nothing_without_trying_it() -> None:
    least = gauss_newton(decay(np.array([0.5, 0.2])), at=decay, bounds=OPEN, pace=TO_THE_END)
    calls: list[Floats] = []
    again = gauss_newton(least, at=counted(decay, calls), bounds=OPEN, pace=TO_THE_END)
    assert again is least
    assert not calls


@pytest.mark.parametrize(("to_beat", "given_up"), [(math.inf, False), (0.0, True)])
def test_what_cannot_win_any_more_is_given_up(to_beat: float, given_up: bool) -> None:
    # A constant offset that the model does not have stays in the cost whatever is done.
    def hopeless(vector: Floats) -> Point:
        point = decay(vector)
        residual = np.append(point.residual, 1e4)
        slope = np.hstack([point.slope, np.zeros((2, 1))])
        return replace(point, residual=residual, slope=slope, cost=point.cost + 1e8)

    calls: list[Floats] = []
    first = hopeless(np.array([0.5, 0.2]))
    gauss_newton(first, at=counted(hopeless, calls), bounds=OPEN, pace=TO_THE_END, to_beat=to_beat)
    assert (len(calls) < 3) == given_up


def test_no_entry_goes_further_at_once_than_allowed() -> None:
    calls: list[Floats] = []
    short = replace(TO_THE_END, longest_step=0.05, most_steps=4)
    gauss_newton(decay(np.array([0.5, 0.2])), at=counted(decay, calls), bounds=OPEN, pace=short)
    steps = np.abs(np.diff([np.array([0.5, 0.2]), *calls], axis=0))
    assert steps.max() == pytest.approx(0.05)
