"""Which circuit the data ask for: candidates weighed by the Schwarz criterion, simplest first.

BIC = misfit / c + k ln n, with n residuals and k parameters (A. E. Raftery, Sociol. Methodol. 25
(1995) 111). It is chosen before AICc because the question is which parts the data force, not which
curve predicts best: with 400 points AICc takes a needless part in one fit of six, and each one
widens the intervals of all others. AICc stands beside it. c is what the richest candidate leaves
per degree of freedom, 1 at least: where no circuit is quite right, noise alone would ask for ever
more parts (K. P. Burnham, D. R. Anderson, Model Selection, 2nd ed. 2002, 2.5).
"""

import math
from dataclasses import dataclass, replace

import numpy as np

from dsp.arrays import Floats
from dsp.parameters.circuit import CREEP_LOSS, INDUCTANCES, Circuit, evaluate
from dsp.parameters.readings import Readings
from dsp.parameters.solve import Solved, solve, solve_to_the_end
from dsp.parameters.start import with_coil

_BUMP_Q = 6.0


@dataclass(frozen=True, slots=True, kw_only=True)
class Candidate:
    """One circuit that was tried.

    Attributes
    ----------
    circuit : Circuit
        Which.
    misfit_per_freedom : float
        Sum of squares over residuals less parameters: 1 where noise explains all.
    bic, aicc : float
        The criteria, less the chosen candidate's: 0 for it, larger is worse; infinite for a
        circuit whose loss by creep exceeds all of its loss, or with a further resonance within
        the width of the first.
    chosen : bool
        Whether it is the one.
    """

    circuit: Circuit
    misfit_per_freedom: float
    bic: float
    aicc: float
    chosen: bool


@dataclass(frozen=True, slots=True, eq=False, kw_only=True)
class Choice:
    """The circuit that the data ask for, and all that were tried, best first."""

    solved: Solved
    candidates: tuple[Candidate, ...]


def choose(data: Readings, *, look: Solved, most_bumps: int) -> Choice:
    """Try circuits and take the one with the lowest criterion.

    First every kind of inductance; then creep on the best of them; then further resonances one by
    one where the rest shows them, and with them every inductance again, and no creep again.

    Parameters
    ----------
    data : Readings
        Points of the impedance.
    look : Solved
        A first look at them, to begin from: a circuit without creep and further resonances.
    most_bumps : int
        How many further resonances may be taken.

    Returns
    -------
    Choice; the chosen circuit is solved to the end.
    """
    tried = [solve(look.circuit, start=look.vector, data=data)]
    tried += _beside(tried[0], tried=tried, data=data)
    best = _best(tried, data=data)
    creeping = replace(best.circuit, creep=True)
    tried.append(_further(best, circuit=creeping, extra={"creep": 0.0}, tried=tried, data=data))
    for _ in range(most_bumps):
        best = _best(tried, data=data)
        bumpy = replace(best.circuit, bumps=best.circuit.bumps + 1)
        bump = _largest_rest(best, data=data)
        more = _further(best, circuit=bumpy, extra=bump, tried=tried, data=data)
        tried.append(more)
        if _best(tried, data=data) is not more:
            break
        tried += _beside(more, tried=tried, data=data)
        tried += _without_creep(_best(tried, data=data), tried=tried, data=data)
    best = _best(tried, data=data)
    return Choice(
        solved=solve_to_the_end(best, data=data),
        candidates=_listed(tried, best=best, data=data),
    )


def _beside(found: Solved, *, tried: list[Solved], data: Readings) -> list[Solved]:
    # With which other inductance would the rest of the circuit describe the data?
    known = found.circuit.values(found.vector)
    others = [
        replace(found.circuit, inductance=kind)
        for kind in INDUCTANCES
        if kind != found.circuit.inductance
    ]
    return [
        _solve(one, start=with_coil(one, known=known, data=data), tried=tried, data=data)
        for one in others
    ]


def _without_creep(found: Solved, *, tried: list[Solved], data: Readings) -> list[Solved]:
    if not found.circuit.creep:
        return []
    firm = replace(found.circuit, creep=False)
    return [_further(found, circuit=firm, extra={}, tried=tried, data=data)]


def _further(
    found: Solved,
    *,
    circuit: Circuit,
    extra: dict[str, float],
    tried: list[Solved],
    data: Readings,
) -> Solved:
    start = circuit.vector(found.circuit.values(found.vector) | extra)
    return _solve(circuit, start=start, tried=tried, data=data)


def _solve(circuit: Circuit, *, start: Floats, tried: list[Solved], data: Readings) -> Solved:
    # One that only adds to the best begins about where that ended: what it does not gain soon, it
    # will not.
    best, to_beat = _best(tried, data=data), math.inf
    if circuit.holds(best.circuit):
        more = len(circuit.names) - best.vector.size
        to_beat = best.misfit - more * math.log(_count(data)) * _scale(tried, data=data)
    return solve(circuit, start=start, data=data, to_beat=to_beat)


def _largest_rest(found: Solved, *, data: Readings) -> dict[str, float]:
    # A parallel resonance adds resistance at its top: where a few points together show the most.
    model = evaluate(found.circuit, vector=found.vector, frequency_hz=data.frequency_hz).impedance
    rest = (data.ohm - model).real
    weight = 1 / (data.spread * np.abs(data.ohm)) ** 2
    kernel = np.array([1.0, 2.0, 3.0, 2.0, 1.0])
    together = np.convolve(rest * weight, kernel, mode="same")
    certain = together / np.sqrt(np.convolve(weight, kernel**2, mode="same"))
    at = int(np.argmax(certain))
    height = together[at] / np.convolve(weight, kernel, mode="same")[at]
    number = found.circuit.bumps + 1
    return {
        f"bump{number}_ohm": float(max(height, 1e-3)),
        f"bump{number}_q": _BUMP_Q,
        f"bump{number}_hz": float(data.frequency_hz[at]),
    }


def _best(tried: list[Solved], *, data: Readings) -> Solved:
    scores = _scores(tried, data=data)
    return tried[int(np.argmin(scores[0]))]


def _scores(tried: list[Solved], *, data: Readings) -> Floats:
    n, scale = _count(data), _scale(tried, data=data)
    out = np.empty((2, len(tried)))
    for at, one in enumerate(tried):
        k = one.vector.size
        size = one.misfit / scale if _possible(one) else math.inf
        out[0, at] = size + k * math.log(n)
        out[1, at] = size + 2 * k + 2 * k * (k + 1) / max(n - k - 1, 1)
    return out


def _count(data: Readings) -> float:
    return 2 * float(np.sum(data.independent))


def _scale(tried: list[Solved], *, data: Readings) -> float:
    return max(1.0, min(_per_freedom(one, data=data) for one in tried))


def _per_freedom(found: Solved, *, data: Readings) -> float:
    return found.misfit / max(_count(data) - found.vector.size, 1)


def _possible(found: Solved) -> bool:
    values = found.circuit.values(found.vector)
    width = 1 / values["qms"]
    # More loss by creep than there is would be energy from nowhere. Within the resonance's own
    # width a further one would describe how the level bends it, and take half of Res with it.
    bumps = range(1, found.circuit.bumps + 1)
    away = [abs(math.log(values[f"bump{n}_hz"] / values["fs_hz"])) for n in bumps]
    return values.get("creep", 0.0) * CREEP_LOSS <= width and all(one > width for one in away)


def _listed(tried: list[Solved], *, best: Solved, data: Readings) -> tuple[Candidate, ...]:
    bic, aicc = _scores(tried, data=data)
    at = next(n for n, one in enumerate(tried) if one is best)
    listed = [
        Candidate(
            circuit=one.circuit,
            misfit_per_freedom=_per_freedom(one, data=data),
            bic=float(bic[n] - bic[at]),
            aicc=float(aicc[n] - aicc[at]),
            chosen=one is best,
        )
        for n, one in enumerate(tried)
    ]
    return tuple(sorted(listed, key=lambda one: one.bic))
