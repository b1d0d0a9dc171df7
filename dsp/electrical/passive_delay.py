"""The delay between a source that was not recorded and the current: what makes the unit passive."""

import math
from dataclasses import dataclass, replace

import numpy as np

from dsp.arrays import Bools, Floats
from dsp.electrical.passive_fit import Fit, fit_circuit
from dsp.electrical.passive_model import DULLEST_MODE_Q, Problem, Structure
from dsp.electrical.passive_start import (
    Parts,
    coarse_delay,
    parts,
    start_values,
    with_mode,
    with_pair,
)
from dsp.errors import DspError
from dsp.response.harmonics import Harmonics
from dsp.response.same_points import check_same_points

# Simple ones first, of them the likeliest; those further down only where none of the above
# describes the unit.
_TIERS = (
    (Structure(pairs=1), Structure(), Structure(fractional=True)),
    (Structure(pairs=2), Structure(pairs=1, fractional=True)),
    (Structure(pairs=3),),
)
_CAPS = (0.05, 0.3, 1.0)
_MOST_POINTS = 170
FEWEST_POINTS = 12
_FLOOR = 2e-5  # relative; what analysis and converters leave even where noise is nil
_CLEAR_OF_RESONANCE = 2.5
_LEAST_SPAN = 16.0  # four octaves, even where that takes in the resonance
_LADDER_END, _LADDER_SHARE = 3, 0.5
_OUTLIER = 5.0  # times the median miss
_NOT_PASSIVE = 0.2  # relative residual
_JUST_DULLEST = math.log(1.05 * DULLEST_MODE_Q)
_MOST_MODES = 5
_STEPS_A_MODE = 12  # the next mode moves everything again
_ROUNDS = 4  # in which a start finds a delay that is only guessed
_NO_RIVAL = 10.0  # times what a circuit that describes the unit leaves
_TINY_DELAY = 1e-4  # rad at the top of the band: 0.8 ns at 20 kHz


@dataclass(frozen=True, slots=True, kw_only=True)
class PassiveDelay:
    """By how much the current lags the source.

    Attributes
    ----------
    delay_s : float
        s; multiply the current's phasors by e^(+j w delay_s) to undo it.
    standard_uncertainty_s : float
        s.
    residual : float
        What the best circuit leaves of the impedance, relative, rms; noise included.
    circuit : str
        Which circuit described the unit best.
    """

    delay_s: float
    standard_uncertainty_s: float
    residual: float
    circuit: str


def passive_delay(
    source: Harmonics, *, current: Harmonics, longest_s: float = 0.5e-3
) -> PassiveDelay:
    """Find the delay that makes source over current the impedance of a passive drive unit.

    A delay turns the phase and leaves the magnitude; a passive impedance ties its phase to its
    magnitude. Circuits of a coil in a magnet, all of whose parts are positive, are fitted
    together with the delay: resistance, inductance, up to three lossy inductances or a fractional
    one (j w)^b, the motion's tail, and cone modes where the rest shows them. They are weighed by
    the Schwarz criterion; one that is another with parts added counts only where it is the
    better. A. E. Raftery, Sociol. Methodol. 25 (1995) 111, for weighing and for leaving out.

    The sense resistor is part of the fitted circuit, so its value is not needed.

    Parameters
    ----------
    source : Harmonics
        V across unit and resistor, as ``known_source`` gives it.
    current : Harmonics
        A, delayed by what is looked for.
    longest_s : float
        s, either way; 20 samples at 48 kHz are 0.42 ms.

    Returns
    -------
    PassiveDelay; its uncertainty covers noise, what the circuit misses, and the choice of circuit
    among those tried. Three lossy inductances, or none that fits, are a sign of currents spread
    through iron: then half of the last step from fewer to more is added. Up to two that fit are
    believed: losses that begin above the band alone cannot be told from a delay.

    Raises
    ------
    DspError
        Fewer than 12 usable points, or a current that opposes its source.
    """
    check_same_points("passive_delay", first=source, second=current)
    top_hz = _top(source, current=current)
    problem = _problem(source, current=current, top_hz=top_hz)
    turn = 2 * math.pi * top_hz
    known = parts(problem)
    guess = coarse_delay(problem, known=known, longest=longest_s * turn)
    fits = _fit_all(problem, known=known, guess=guess)
    best = _best(fits)
    if not _describes(best):
        kept = _ordinary(best)
        if FEWEST_POINTS <= np.count_nonzero(kept) < kept.size:
            problem = _part(problem, kept=kept)
            fits = _fit_all(problem, known=parts(problem), guess=best.delay)
            best = _best(fits)
    found = _weigh(fits, turn=turn, weight=problem.weight, doubt=_ladder_doubt(best, fits=fits))
    if found.residual > _NOT_PASSIVE:
        raise DspError("passive_delay", "no delay makes this a passive unit: wiring or gain wrong")
    return found


def _top(source: Harmonics, *, current: Harmonics) -> float:
    usable = _usable(source, current=current)
    if np.count_nonzero(usable) < FEWEST_POINTS:
        raise DspError(
            "passive_delay",
            "too few points",
            given=int(np.count_nonzero(usable)),
            allowed=f"from {FEWEST_POINTS}",
        )
    return float(source.frequency_hz[usable][-1])


def _usable(source: Harmonics, *, current: Harmonics) -> Bools:
    signal = np.abs(source.fundamental) * np.abs(current.fundamental)
    usable: Bools = np.isfinite(signal) & (signal > 0)
    return usable


def _problem(source: Harmonics, *, current: Harmonics, top_hz: float) -> Problem:
    usable = _usable(source, current=current)
    hz = source.frequency_hz[usable]
    volt, ampere = source.fundamental[usable], current.fundamental[usable]
    relative = np.hypot(
        source.noise[0][usable] / np.abs(volt), current.noise[0][usable] / np.abs(ampere)
    )
    ratio = volt / ampere
    fs_hz = _peak(np.abs(ratio), hz=hz)
    above = np.flatnonzero(hz >= min(_CLEAR_OF_RESONANCE * fs_hz, top_hz / _LEAST_SPAN))
    step = math.ceil(above.size / _MOST_POINTS)
    kept = above[(above.size - 1) % step :: step]
    if kept.size < FEWEST_POINTS:
        kept = np.arange(hz.size)
    jx = np.asarray(1j * hz[kept] / top_hz, dtype=np.complex128)
    return Problem(
        jx=jx,
        log_jx=np.log(jx),
        ratio=ratio[kept] / np.median(np.abs(ratio[kept])),
        weight=1 / np.hypot(relative[kept], _FLOOR),
        resonance=fs_hz / top_hz,
    )


def _peak(magnitude: Floats, *, hz: Floats) -> float:
    # A delay does not move the magnitude: the resonance shows before anything is aligned.
    inner = magnitude[1:-1]
    peaks = np.flatnonzero((inner > magnitude[:-2]) & (inner >= magnitude[2:])) + 1
    peaks = peaks[hz[peaks] < hz[-1] / 4]
    if not peaks.size:
        return float(hz[0] / _CLEAR_OF_RESONANCE)
    return float(hz[peaks[np.argmax(magnitude[peaks])]])


def _fit_all(problem: Problem, *, known: Parts, guess: float) -> list[Fit]:
    fits: list[Fit] = []
    for tier in _TIERS:
        new: list[Fit] = []
        for structure in tier:
            # Beside one that describes the unit, another one begins at its delay, and weighs
            # nothing where it leaves many times as much.
            rival = min(filter(_describes, new), key=_criterion, default=None)
            start = start_values(
                structure,
                problem=problem,
                known=known,
                delay=rival.delay if rival else guess,
                rounds=1 if rival else _ROUNDS,
            )
            to_beat = _NO_RIVAL * rival.misfit if rival else math.inf
            new.append(fit_circuit(structure, start=start, problem=problem, to_beat=to_beat))
        if fits and not any(_describes(fit) for fit in new):
            new = [_second_try(fit, fits=fits + new, problem=problem, known=known) for fit in new]
        fits += new
        if any(_describes(fit) for fit in fits):
            return fits
    fits += [_cap(fit, problem=problem) for fit in fits if fit.structure.fractional]
    best = _best(fits)
    return fits if _describes(best) else fits + _add_modes(best, problem=problem)


def _ordinary(fit: Fit) -> Bools:
    # Points that even the best circuit misses by far more than the others: hum, a disturbance.
    missed = np.hypot(*fit.residual.reshape(-1, 2).T)
    kept: Bools = missed < _OUTLIER * max(1.0, float(np.median(missed)))
    return kept


def _part(problem: Problem, *, kept: Bools) -> Problem:
    return Problem(
        jx=problem.jx[kept],
        log_jx=problem.log_jx[kept],
        ratio=problem.ratio[kept],
        weight=problem.weight[kept],
        resonance=problem.resonance,
    )


def _second_try(fit: Fit, *, fits: list[Fit], problem: Problem, known: Parts) -> Fit:
    # From the circuit with one pair fewer: the first start may lie before the wrong valley.
    tried = [fit]
    for base in fits:
        if replace(base.structure, pairs=base.structure.pairs + 1) == fit.structure:
            start = with_pair(base, problem=problem, known=known)
            tried.append(fit_circuit(fit.structure, start=start, problem=problem))
    return min(tried, key=_criterion)


def _cap(fit: Fit, *, problem: Problem) -> Fit:
    structure = replace(fit.structure, capped=True)
    return min(
        (
            fit_circuit(structure, start=np.append(fit.parameters, cap), problem=problem)
            for cap in _CAPS
        ),
        key=_criterion,
    )


def _describes(fit: Fit) -> bool:
    # Chi square: its mean and three of its standard deviations.
    return fit.misfit < fit.freedom + 3 * math.sqrt(2 * fit.freedom)


def _best(fits: list[Fit]) -> Fit:
    # Where nothing describes the unit, small gains are no reason for more parts.
    scale = max(1.0, min(fit.misfit / fit.freedom for fit in fits))
    return min(fits, key=lambda fit: _criterion(fit, scale))


def _add_modes(best: Fit, *, problem: Problem) -> list[Fit]:
    # One after the other, each where the last fit left most, as long as each is worth its three
    # parameters.
    grown: list[Fit] = []
    for _ in range(_MOST_MODES):
        start = with_mode(best, problem=problem)
        structure = replace(best.structure, modes=best.structure.modes + 1)
        fit = fit_circuit(structure, start=start, problem=problem, most_steps=_STEPS_A_MODE)
        if _criterion(fit) >= _criterion(best) or fit.parameters[-2] < _JUST_DULLEST:
            break
        grown.append(fit)
        best = fit
    return grown


def _ladder_doubt(best: Fit, *, fits: list[Fit]) -> float:
    # Currents spread through iron are an endless row of lossy inductances, and those above the
    # band pass for a delay. Where the row ends at three, or describes nothing, its last steps
    # tell how much may still follow; the share is measured on inductances of other kinds.
    pairs, described = best.structure.pairs, _describes(best)
    plain = replace(best.structure, modes=0)
    if best.structure.capped:
        plain, share = replace(plain, capped=False), 1.0
    elif described and pairs < _LADDER_END:
        return 0.0
    else:
        plain = replace(plain, pairs=pairs - 1 if described else max(pairs - 2, 0))
        share = _LADDER_SHARE
    moves = [abs(best.delay - fit.delay) for fit in fits if fit.structure == plain]
    return share * max(moves, default=0.0)


def _criterion(fit: Fit, scale: float = 1.0) -> float:
    return fit.misfit / scale + fit.parameters.size * math.log(fit.residual.size)


def _weigh(fits: list[Fit], *, turn: float, weight: Floats, doubt: float) -> PassiveDelay:
    best = min(fits, key=_criterion)
    # Where even the best circuit misses more than noise, what it misses is no noise: it is alike
    # at neighbouring points, and counts as so many fewer.
    scale = max(1.0, best.misfit / best.freedom * _alike(best.residual))
    criteria = {id(fit): _criterion(fit, scale) for fit in fits}
    window = [
        fit
        for fit in fits
        if not any(
            fit.structure.holds(other.structure) and criteria[id(other)] <= criteria[id(fit)]
            for other in fits
        )
    ]
    score = np.array([criteria[id(fit)] for fit in window])
    share = np.exp(-(score - np.min(score)) / 2)
    share /= np.sum(share)
    delay = np.array([fit.delay for fit in window])
    mean = float(share @ delay)
    variance = float(share @ (np.array([f.variance for f in window]) * scale + (delay - mean) ** 2))
    shown = best.structure
    return PassiveDelay(
        delay_s=mean / turn,
        standard_uncertainty_s=math.hypot(math.sqrt(variance), doubt, _TINY_DELAY) / turn,
        residual=float(np.sqrt(np.mean((best.residual / np.repeat(weight, 2)) ** 2))),
        circuit=f"{shown.pairs} lossy inductance{'' if shown.pairs == 1 else 's'}"
        + (", a fractional one" if shown.fractional else "")
        + (" with an inductance across it" if shown.capped else "")
        + (f", {shown.modes} cone modes" if shown.modes else ""),
    )


def _alike(residual: Floats) -> float:
    # 1 + 2 sum of the autocorrelation up to its first fall below zero.
    total, parts_of = 1.0, residual.reshape(-1, 2)
    power = float(np.mean(parts_of**2))
    for lag in range(1, min(40, parts_of.shape[0] // 2)):
        likeness = float(np.mean(parts_of[lag:] * parts_of[:-lag])) / power
        if likeness <= 0:
            break
        total += 2 * likeness
    return total
