"""Where a fit of a passive circuit begins: the delay on a grid, the parts by trying all of them."""

import math
from dataclasses import dataclass
from itertools import combinations

import numpy as np

from dsp.arrays import Complexes, Floats, Ints
from dsp.electrical.passive_fit import Fit
from dsp.electrical.passive_model import CORE, Problem, Structure, evaluate

_GRID = 0.4  # rad at the top of the band between two delays that are tried
_LONGEST_MOVE = 0.5  # rad; beyond it a delay is not linear any more
_NEAR = 0.01  # rad: what is left of a delay for the fit
_POWERS = np.array([0.4, 0.5, 0.6, 0.7, 0.8, 0.9])
_CORNERS = 12
_MODE_Q = (3.0, 10.0)
_MODE_PLACES = 48


@dataclass(frozen=True, slots=True, eq=False, kw_only=True)
class Parts:
    """Parts of which an impedance can be a sum, each of them at fixed places.

    Attributes
    ----------
    core : (3, n) complex array
        Resistance, inductance, motion with its usual damping.
    pairs, powers : (p, n), (q, n) complex arrays
        Lossy inductances by time constant; fractional parts by exponent.
    log_times : (p,) array
        Natural logarithms of the time constants.
    sums : (3 + p + q, 2 n) array
        All of them as they are weighed, each of length 1; real and imaginary parts in turn.
    size : (3 + p + q,) array
        Their lengths before.
    """

    core: Complexes
    pairs: Complexes
    powers: Complexes
    log_times: Floats
    sums: Floats
    size: Floats


def parts(problem: Problem) -> Parts:
    """Lay out the parts for a band.

    Parameters
    ----------
    problem : Problem
        Whose band and resonance.

    Returns
    -------
    Parts
    """
    jx, fs = problem.jx, problem.resonance
    times = np.geomspace(0.25, 2 / jx[0].imag, _CORNERS)
    core = np.array([np.ones_like(jx), jx, jx / (jx * jx + jx * fs / 3 + fs * fs)])
    pairs = jx / (1 + jx * times[:, np.newaxis])
    powers = np.exp(_POWERS[:, np.newaxis] * problem.log_jx)
    weighted: Complexes = np.vstack([core, pairs, powers])
    weighted *= _scale(problem)
    sums = _real(weighted)
    size = np.linalg.norm(sums, axis=1)
    return Parts(
        core=core,
        pairs=pairs,
        powers=powers,
        log_times=np.log(times),
        sums=sums / size[:, np.newaxis],
        size=size,
    )


def coarse_delay(problem: Problem, *, known: Parts, longest: float) -> float:
    """Find the delay at which a few parts, of any sign, describe the ratio best.

    Parameters
    ----------
    problem : Problem
        The data.
    known : Parts
        Of the band.
    longest : float
        rad at the top of the band, either way.

    Returns
    -------
    float, rad, right to within a radian or so.
    """
    even = 1 / np.abs(problem.ratio)  # all points alike: far from the truth noise does not matter
    few: Complexes = np.vstack([known.core, known.pairs[[3, 7]]])
    few *= even
    direction, _ = np.linalg.qr(_real(few).T)
    seen = direction.T.copy().view(np.complex128).conj() * (problem.ratio * even)
    tried = np.arange(-longest, longest + _GRID, _GRID)
    # What the parts describe of the ratio, turned back by each delay; its size stays the same. Two
    # turns make each, as exponentials take longest.
    block = math.isqrt(tried.size)
    fine = np.exp(-np.outer(tried[:block] - tried[0], problem.jx))
    coarse = np.exp(-np.outer(tried[::block], problem.jx))
    turned = (coarse[:, np.newaxis] * seen).reshape(-1, problem.jx.size)
    shares = (fine @ turned.T).real.reshape(block, -1, len(few))
    described = np.sum(shares**2, axis=2).T.ravel()[: tried.size]
    return float(tried[np.argmax(described)])


def start_values(
    structure: Structure, *, problem: Problem, known: Parts, delay: float, rounds: int
) -> Floats:
    """Try every choice of fixed parts, linear in the rest, and keep the best that is passive.

    Parameters
    ----------
    structure : Structure
        Without modes.
    problem : Problem
        The data.
    known : Parts
        Of the band.
    delay : float
        rad, a first guess.
    rounds : int
        How often it may move, 0.5 rad at most each time.

    Returns
    -------
    (k,) array for ``fit_circuit``; what would have to be negative is 0.
    """
    sums, size = known.sums, known.size
    weighted = problem.ratio * _scale(problem)
    gram = np.eye(sums.shape[0] + 1)
    gram[1:, 1:] = sums @ sums.T
    chosen = _choices(structure, pairs=known.log_times.size)
    picked, found = chosen[0], np.zeros(chosen.shape[1])
    for _ in range(rounds):
        turned = weighted * np.exp(-delay * problem.jx)
        target, lag = _real(turned), _real(problem.jx * turned)
        gram[0, 0] = lag @ lag
        gram[0, 1:] = gram[1:, 0] = sums @ lag
        aim = np.concatenate([[lag @ target], sums @ target])
        amounts = np.linalg.solve(
            gram[chosen[:, :, np.newaxis], chosen[:, np.newaxis, :]], aim[chosen][..., np.newaxis]
        )[..., 0]
        gain = np.sum(amounts * aim[chosen], axis=1)
        passive = np.all(amounts[:, 1:] >= 0, axis=1)
        # Far from the delay no choice is passive: then go where the data pull.
        best = int(np.argmax(np.where(passive, gain, -np.inf) if passive.any() else gain))
        picked, found = chosen[best], amounts[best]
        delay += float(np.clip(found[0], -_LONGEST_MOVE, _LONGEST_MOVE))
        if abs(found[0]) < _NEAR:
            break
    return _as_parameters(
        structure,
        delay=delay,
        known=known,
        picked=picked[1:] - 1,
        amounts=np.maximum(found[1:], 0) / size[picked[1:] - 1],
        fs=problem.resonance,
    )


def with_pair(fit: Fit, *, problem: Problem, known: Parts) -> Floats:
    """Find the lossy inductance that would explain most of what a fit has left.

    Parameters
    ----------
    fit : Fit
        The fit so far, without modes.
    problem : Problem
        The data.
    known : Parts
        Of the band.

    Returns
    -------
    (k + 2,) array, its parameters with a pair's before those of its other pairs.
    """
    found = _missing(fit, shapes=known.pairs, problem=problem)
    pair = [found.amount, known.log_times[found.index]]
    return np.insert(fit.parameters, [CORE, CORE], pair)


def with_mode(fit: Fit, *, problem: Problem) -> Floats:
    """Find the cone mode that would explain most of what a fit has left.

    Parameters
    ----------
    fit : Fit
        The fit so far.
    problem : Problem
        The data.

    Returns
    -------
    (k + 3,) array, its parameters and a mode's.
    """
    jx = problem.jx
    centre = np.repeat(np.geomspace(2 * jx[0].imag, 1, _MODE_PLACES), len(_MODE_Q))
    q = np.tile(_MODE_Q, _MODE_PLACES)
    shapes: Complexes = jx / (
        jx * jx + jx * (centre / q)[:, np.newaxis] + (centre**2)[:, np.newaxis]
    )
    found = _missing(fit, shapes=shapes, problem=problem)
    mode = [found.amount, np.log(q[found.index]), np.log(centre[found.index])]
    return np.concatenate([fit.parameters, mode])


@dataclass(frozen=True, slots=True)
class _Missing:
    index: int
    amount: float


def _missing(fit: Fit, *, shapes: Complexes, problem: Problem) -> _Missing:
    # Which shape, once all that the fit can do by itself is taken off, fits the residual best.
    found = evaluate(fit.structure, parameters=fit.parameters, problem=problem)
    rows = _real(shapes / found.impedance * problem.weight)
    size = np.linalg.norm(fit.slope, axis=1)
    able, _ = np.linalg.qr((fit.slope / np.maximum(size, 1e-300)[:, np.newaxis]).T)
    new = rows - (rows @ able) @ able.T
    room = np.sum(new**2, axis=1) + 1e-12 * np.sum(rows**2, axis=1)
    amount = new @ fit.residual / room
    best = int(np.argmax(np.where(amount > 0, amount**2 * room, -1)))
    return _Missing(best, max(float(amount[best]), 0.0))


def _choices(structure: Structure, *, pairs: int) -> Ints:
    # Column 0 is the delay, 1 to 3 the core, then pairs, then powers.
    first = 4
    sets = [
        (0, 1, 2, 3, *(first + n for n in lossy), *power)
        for lossy in combinations(range(pairs), structure.pairs)
        for power in (
            [(first + pairs + n,) for n in range(_POWERS.size)] if structure.fractional else [()]
        )
    ]
    return np.array(sets, dtype=np.int64)


def _as_parameters(
    structure: Structure, *, delay: float, known: Parts, picked: Ints, amounts: Floats, fs: float
) -> Floats:
    values = [delay, *amounts[:3], np.log(fs / 3), np.log(fs)]
    for n in range(structure.pairs):
        values += [amounts[3 + n], known.log_times[picked[3 + n] - 3]]
    if structure.fractional:
        values += [amounts[-1], _POWERS[picked[-1] - 3 - known.log_times.size]]
    return np.array(values, dtype=np.float64)


def _scale(problem: Problem) -> Floats:
    # Weights are relative: those of a sum of parts are over the magnitude.
    scale: Floats = problem.weight / np.abs(problem.ratio)
    return scale


def _real(values: Complexes) -> Floats:
    return np.ascontiguousarray(values, dtype=np.complex128).view(np.float64)
