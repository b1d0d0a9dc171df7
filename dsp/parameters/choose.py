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
from dsp.parameters.classic import Classic
from dsp.parameters.readings import Readings
from dsp.parameters.solve import Solved, solve
from dsp.parameters.start import start

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


def choose(data: Readings, *, rough: Classic, most_bumps: int) -> Choice:
    """Try circuits and take the one with the lowest criterion.

    First every kind of inductance; then creep on the best of them; then further resonances one by
    one where the rest shows them, and with them every inductance again, and no creep again.

    Parameters
    ----------
    data : Readings
        Points of the impedance.
    rough : Classic
        Where to begin.
    most_bumps : int
        How many further resonances may be taken.

    Returns
    -------
    Choice; the chosen circuit is solved to the end.
    """
    tried = [_look(Circuit(inductance=kind), rough=rough, data=data) for kind in INDUCTANCES]
    best = _best(tried, data=data)
    creeping = replace(best.circuit, creep=True)
    tried.append(_solve_from(best, circuit=creeping, extra={"creep": 0.05}, data=data))
    for _ in range(most_bumps):
        best = _best(tried, data=data)
        bumpy = replace(best.circuit, bumps=best.circuit.bumps + 1)
        bump = _largest_rest(best, data=data)
        more = [_solve_from(best, circuit=bumpy, extra=bump, data=data)]
        if _best([*tried, *more], data=data) is not more[0]:
            tried += more
            break
        tried += more
        tried += _beside(more[0], rough=rough, data=data)
        tried += _without_creep(_best(tried, data=data), data=data)
    best = _best(tried, data=data)
    final = solve(best.circuit, start=best.vector, data=data)
    return Choice(solved=final, candidates=_listed(tried, best=best, data=data))


def _beside(found: Solved, *, rough: Classic, data: Readings) -> list[Solved]:
    # What else, with the bumps just found, describes the data?
    known = _values(found)
    out = []
    for kind in INDUCTANCES:
        circuit = replace(found.circuit, inductance=kind)
        if kind != found.circuit.inductance:
            plain = Circuit(inductance=kind)
            values = {
                **_named(plain, start(plain, rough=rough, data=data)),
                **{n: v for n, v in known.items() if n in circuit.names and n not in _coil(found)},
            }
            out.append(_short(circuit, vector=circuit.vector(values), data=data))
    return out


def _without_creep(found: Solved, *, data: Readings) -> list[Solved]:
    if not found.circuit.creep:
        return []
    firm = replace(found.circuit, creep=False)
    return [_short(firm, vector=firm.vector(_values(found)), data=data)]


def _coil(found: Solved) -> set[str]:
    bare = Circuit(inductance="none", creep=found.circuit.creep, bumps=found.circuit.bumps)
    return set(found.circuit.names) - set(bare.names)


def _look(circuit: Circuit, *, rough: Classic, data: Readings) -> Solved:
    return _short(circuit, vector=start(circuit, rough=rough, data=data), data=data)


def _solve_from(
    found: Solved, *, circuit: Circuit, extra: dict[str, float], data: Readings
) -> Solved:
    return _short(circuit, vector=circuit.vector(_values(found) | extra), data=data)


def _short(circuit: Circuit, *, vector: Floats, data: Readings) -> Solved:
    return solve(circuit, start=vector, data=data, rough=True)


def _values(found: Solved) -> dict[str, float]:
    return _named(found.circuit, found.vector)


def _named(circuit: Circuit, vector: Floats) -> dict[str, float]:
    return {name: circuit.value(vector, name=name) for name in circuit.names}


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
    n = 2 * float(np.sum(data.independent))
    per_freedom = [one.misfit / max(n - len(one.circuit.names), 1) for one in tried]
    scale = max(1.0, min(per_freedom))
    out = np.empty((2, len(tried)))
    for at, one in enumerate(tried):
        k = len(one.circuit.names)
        size = one.misfit / scale if _passive(one) and _apart(one) else math.inf
        out[0, at] = size + k * math.log(n)
        out[1, at] = size + 2 * k + 2 * k * (k + 1) / max(n - k - 1, 1)
    return out


def _passive(found: Solved) -> bool:
    if not found.circuit.creep:
        return True
    loss = 1 / found.circuit.value(found.vector, name="qms")
    return found.circuit.value(found.vector, name="creep") * CREEP_LOSS <= loss


def _apart(found: Solved) -> bool:
    # Within the resonance's own width a further one would describe how the level bends it, and take
    # half of Res with it.
    width = 1 / found.circuit.value(found.vector, name="qms")
    fs_hz = found.circuit.value(found.vector, name="fs_hz")
    bumps = range(1, found.circuit.bumps + 1)
    away = [found.circuit.value(found.vector, name=f"bump{n}_hz") / fs_hz for n in bumps]
    return all(abs(math.log(one)) > width for one in away)


def _listed(tried: list[Solved], *, best: Solved, data: Readings) -> tuple[Candidate, ...]:
    bic, aicc = _scores(tried, data=data)
    at = next(n for n, one in enumerate(tried) if one is best)
    freedom = 2 * float(np.sum(data.independent))
    listed = [
        Candidate(
            circuit=one.circuit,
            misfit_per_freedom=one.misfit / max(freedom - len(one.circuit.names), 1),
            bic=float(bic[n] - bic[at]),
            aicc=float(aicc[n] - aicc[at]),
            chosen=one is best,
        )
        for n, one in enumerate(tried)
    ]
    return tuple(sorted(listed, key=lambda one: one.bic))
