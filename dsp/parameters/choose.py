"""Which circuit the data ask for: candidates weighed by the Schwarz criterion, simplest first."""

import math
from dataclasses import dataclass, replace

import numpy as np

from dsp.arrays import Floats
from dsp.parameters.circuit import INDUCTANCES, Circuit, evaluate
from dsp.parameters.field import Field
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

    First every kind of inductance; then creep on the best of them, and with it the simpler ones
    again; then further resonances one by one where the rest shows them, and with each every
    inductance again, and no creep again.

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
    field = Field(count=2 * float(np.sum(data.independent)))
    field = field.plus(solve(look.circuit, start=look.vector, data=data))
    field = _beside(field, others=_coils(look.circuit)[1:], data=data)
    creeping = replace(field.best.circuit, creep=True)
    field = _further(field, circuit=creeping, extra={"creep": 0.0}, data=data)
    if field.best.circuit.creep:
        # A lossy inductance may have stood for it.
        found = field.best.circuit
        simpler = [one for one in _coils(found) if found.holds(one)]
        field = _beside(field, others=simpler, data=data)
    for _ in range(most_bumps):
        best = field.best
        bumpy = replace(best.circuit, bumps=best.circuit.bumps + 1)
        field = _further(field, circuit=bumpy, extra=_largest_rest(best, data=data), data=data)
        if field.best is best:
            break
        # Any inductance may have stood for it, its own kind, too.
        field = _beside(field, others=_coils(bumpy), data=data)
        if field.best.circuit.creep:
            firm = replace(field.best.circuit, creep=False)
            field = _further(field, circuit=firm, extra={}, data=data)
    solved = solve_to_the_end(field.best, data=data)
    return Choice(solved=solved, candidates=_listed(field))


def _coils(circuit: Circuit) -> list[Circuit]:
    # The circuit with every kind of inductance, its own first.
    others = [kind for kind in INDUCTANCES if kind != circuit.inductance]
    return [circuit, *(replace(circuit, inductance=kind) for kind in others)]


def _beside(field: Field, *, others: list[Circuit], data: Readings) -> Field:
    # With another inductance from what the rest of the best circuit leaves over.
    known = field.best.values
    for other in others:
        start = with_coil(other, known=known, data=data)
        field = _tried(field, circuit=other, start=start, data=data)
    return field


def _further(field: Field, *, circuit: Circuit, extra: dict[str, float], data: Readings) -> Field:
    # From where the best ended, with a part more or less.
    start = circuit.vector(field.best.values | extra)
    return _tried(field, circuit=circuit, start=start, data=data)


def _tried(field: Field, *, circuit: Circuit, start: Floats, data: Readings) -> Field:
    # One that only adds to the best begins about where that ended: what it does not gain soon, it
    # will not.
    to_beat = field.to_beat(circuit) if circuit.holds(field.best.circuit) else math.inf
    return field.plus(solve(circuit, start=start, data=data, to_beat=to_beat))


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


def _listed(field: Field) -> tuple[Candidate, ...]:
    best = field.best
    bic, aicc, per_freedom = field.bic, field.aicc, field.per_freedom
    at = field.tried.index(best)
    listed = [
        Candidate(
            circuit=one.circuit,
            misfit_per_freedom=per_freedom[n],
            bic=bic[n] - bic[at],
            aicc=aicc[n] - aicc[at],
            chosen=one is best,
        )
        for n, one in enumerate(field.tried)
    ]
    # Of a circuit that was tried twice the better is shown.
    once = {one.circuit: one for one in sorted(listed, key=lambda one: -one.bic)}
    return tuple(sorted(once.values(), key=lambda one: one.bic))
